"""The REST interface, face by face."""
