"""Frozen queries: which rows a query chose once, so that they can be cited and had again."""
