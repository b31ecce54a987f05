"""Tests of the statistics of published rows."""
