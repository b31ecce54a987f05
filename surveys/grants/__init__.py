"""Researchers whom we let see more than everybody, for a purpose and a time, group by group."""
