"""What a vetted researcher's token may read."""
