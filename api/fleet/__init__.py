"""The fleet re-rated: which stored panels a changed catalogue, table or engine changes, from what to what.

Nothing of it is stored: the stored panels, their records and the catalogue stay as they are. A run takes what is to be
(`proposal`), finds which panels that touches (`touched`), rates them in chunks (`chunks`), and reports the worst first
(`report`).
"""
