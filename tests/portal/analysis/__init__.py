"""What a release says."""
