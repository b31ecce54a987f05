"""Quality of the measuring."""
