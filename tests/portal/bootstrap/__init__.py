"""Tests of the way from a bare Python to a running command."""
