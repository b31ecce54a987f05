"""Tests of the trail."""
