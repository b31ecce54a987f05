"""A participant's own pages, reached by a personal link."""
