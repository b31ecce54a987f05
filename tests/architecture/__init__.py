"""What strings could smuggle past the import contracts."""
