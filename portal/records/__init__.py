"""Published rows, releases and tombstones; knows no private name."""
