"""Open reading of released records."""
