"""A release as a Darwin Core archive."""
