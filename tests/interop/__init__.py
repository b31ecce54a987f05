"""Real tools against a running server: `manage.py test --interop`, apart from the suite."""
