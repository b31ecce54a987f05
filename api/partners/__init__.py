"""What a partner group's token may do."""
