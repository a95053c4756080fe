"""The store, each test against SQLite and against a real PostgreSQL."""
