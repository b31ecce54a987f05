"""What a group sends: read strictly, kept word for word, stored whole or not at all."""
