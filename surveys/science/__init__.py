"""Field science used when records are checked: plain Python, no Django, no storage."""
