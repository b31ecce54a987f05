"""The demonstration scenario, made from one seed and sent through the real intake."""
