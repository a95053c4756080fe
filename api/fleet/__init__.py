"""The fleet re-rated: which stored panels a changed catalogue, table or engine changes, from what to what.

Nothing of it is stored: the stored panels, their records and the catalogue stay as they are. A run takes what is to be
(`asking`, `proposal`), finds which panels that touches (`touched`), has them rated in chunks by whoever rates
(`chunks`, `rating`), and tells what it has found with the worst first (`entries`, `ledger`, `words`). `run` does so
here; for the service each panel is a line of a batch (`lines`).
"""
