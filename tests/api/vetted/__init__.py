"""Tests of what vetted researchers may read."""
