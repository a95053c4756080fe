"""IEC 61439-2 low-voltage switchgear assemblies: its tables as data, its rules as modules."""
