"""Whether what is given away keeps to open standards, seen from outside."""
