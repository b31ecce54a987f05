"""Public web pages."""
