"""Tests of reviews and appeals."""
