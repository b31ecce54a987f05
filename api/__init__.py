"""REST: partner submission, review, open queries and harvest."""
