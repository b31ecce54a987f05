"""Tests of grants to researchers."""
