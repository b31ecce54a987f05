"""The pages of a participant who holds a personal link."""
