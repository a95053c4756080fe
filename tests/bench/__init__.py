"""Benchmarks: `python -m tests.bench` prints medians and ratios measured in one run. Nothing here passes or fails."""
