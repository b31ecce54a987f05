"""Who harvests us, and how far each has confirmed the feed of changes."""
