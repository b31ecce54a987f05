"""Benchmarks, run by hand; each prints both sides of a ratio from one run."""
