"""Rules that look at a visit and answer with status, result and comment."""
