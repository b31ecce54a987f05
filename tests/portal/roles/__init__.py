"""Tests of what the database itself allows."""
