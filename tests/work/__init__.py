"""The work behind the requests."""
