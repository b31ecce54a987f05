"""Releases, change lists and files for harvesters."""
