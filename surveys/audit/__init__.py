"""The append-only trail of who did what to which record."""
