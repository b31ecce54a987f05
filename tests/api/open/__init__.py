"""Open reading."""
