"""Upgrade plans."""
