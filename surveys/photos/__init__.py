"""Photos of pits, animals and soil: rebuilt from their pixels, private until approved."""
