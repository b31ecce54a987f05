"""The site: configuration, the publication boundary and the public side."""
