"""Tests of people and tokens."""
