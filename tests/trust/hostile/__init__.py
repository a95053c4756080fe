"""Hostile input to a real service: each kind refused in bounded time and memory, nothing stored, nothing broken.

A module for each kind of way in: bodies, tables, texts, targets of webhooks, and the wire itself.
"""
