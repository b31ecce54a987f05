"""The release as OGC API - Features: the same rows, for maps and desktop GIS."""
