"""Tests of the data quality tests of TDWG."""
