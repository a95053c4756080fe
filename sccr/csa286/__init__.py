"""CSA C22.2 No. 286, industrial control panels of Canada: rated by the clauses of UL 508A, in the words of Canada."""
