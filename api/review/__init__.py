"""What a reviewer's or steward's token may do."""
