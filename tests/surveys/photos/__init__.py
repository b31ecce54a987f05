"""Tests of photos."""
