"""A release as a Darwin Core data package, an experimental form of the same rows."""
