"""Tests of the field science used when records are checked."""
