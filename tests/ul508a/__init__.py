"""Tests of the part of the tree that this folder mirrors."""
