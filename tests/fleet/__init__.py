"""The fleet re-rated."""
