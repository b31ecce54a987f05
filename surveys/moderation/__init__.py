"""Decisions of reviewers with their reasons."""
