"""Stories told through HTTP only."""
