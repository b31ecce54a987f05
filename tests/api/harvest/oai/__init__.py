"""OAI-PMH: each verb, each error, lists in pages."""
