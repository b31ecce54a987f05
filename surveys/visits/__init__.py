"""Visits, pits, phases, counts, soil observations and determinations."""
