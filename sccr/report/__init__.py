"""A rating for its readers: each form takes the result and returns text. Nothing here decides or parses."""
