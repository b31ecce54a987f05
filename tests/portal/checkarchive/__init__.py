"""Tests of the judging of archives."""
