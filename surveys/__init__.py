"""The private side: people, consent, exact places, visits, checks and moderation."""
