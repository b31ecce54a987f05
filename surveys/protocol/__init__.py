"""Protocols as versioned data, and the one vocabulary."""
