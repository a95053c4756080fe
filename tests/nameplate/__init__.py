"""The nameplate: its fields, and the plate as it is drawn."""
