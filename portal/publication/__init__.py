"""The one door: eligibility, anonymising and releases."""
