"""What reviewers and stewards may do."""
