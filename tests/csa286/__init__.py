"""CSA C22.2 No. 286: what it takes over from UL 508A, and where it is stricter."""
