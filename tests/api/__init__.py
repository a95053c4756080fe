"""Tests of the service, through its application and through the real server."""
