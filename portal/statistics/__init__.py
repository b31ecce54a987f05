"""Statistics of published rows: plain Python, numbers in, numbers or frozen dataclasses out."""
