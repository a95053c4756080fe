"""What every fixture and 500 drawn panels were rated, with the derivation: kept, so that no rating moves unseen."""
