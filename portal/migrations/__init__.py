"""Migrations of the public tables."""
