"""What a release says: planned questions, their findings, tables and figures."""
