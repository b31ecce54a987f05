"""Groups, participants, consent, reviewers and access tokens."""
