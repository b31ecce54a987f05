"""Tests of protocols and their library."""
