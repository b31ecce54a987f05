"""Exact private places and what kind of place they are."""
