"""UL 508A, Supplement SB: its tables, its rules in clause order, and the editions that apply them."""
