"""Tests of frozen queries."""
