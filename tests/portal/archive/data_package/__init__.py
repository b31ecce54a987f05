"""The experimental data package."""
