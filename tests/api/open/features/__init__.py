"""Tests of the release as OGC API - Features."""
