"""Releases, changes and files."""
