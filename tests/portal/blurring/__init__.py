"""Tests of the blurring: the grid, the floors, the grouping and what is published."""
