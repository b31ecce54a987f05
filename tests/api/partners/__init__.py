"""What a group may do with its token."""
