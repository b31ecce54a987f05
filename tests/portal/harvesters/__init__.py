"""Tests of portal/harvesters."""
