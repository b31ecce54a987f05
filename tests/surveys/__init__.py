"""Tests of the private side."""
