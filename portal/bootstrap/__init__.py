"""From a bare Python to a running command: standard library only, no Django, no settings."""
