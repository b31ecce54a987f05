"""Dull factories: a valid minimum of each record, no surprises."""
