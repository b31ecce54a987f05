"""Tests of surveys/uploads."""
