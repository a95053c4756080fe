"""Tests: they mirror sccr/ and api/, plus published and derived cases and the independent oracle."""
