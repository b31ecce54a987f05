"""Tests of the archive's parts."""
