"""Management commands of the private side."""
