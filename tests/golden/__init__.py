"""What every fixture and 700 drawn panels were rated, with the derivation: kept, so that no rating moves unseen."""
