"""Tests of sites."""
