"""Published rows: dictionary, queries, summaries."""
