"""Changes made on purpose in rules and tables, and whether a test fails for each: `python -m tests.mutation`."""
