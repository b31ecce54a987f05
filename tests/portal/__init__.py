"""Tests of the site and of the public side."""
