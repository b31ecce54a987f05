"""OAI-PMH 2.0: library and repository catalogues harvest what is said about the dataset."""
