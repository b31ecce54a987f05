"""What the database itself allows a process that serves only the public side."""
