"""Migrations of the private tables."""
