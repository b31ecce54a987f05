"""From private visits to published rows and back out."""
