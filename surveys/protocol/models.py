"""The stored protocol versions."""

from django.db import models

from surveys.protocol.definition import Protocol


class ProtocolVersion(models.Model):
    """One protocol version as it was when first loaded; never changed afterwards."""

    key = models.CharField(max_length=60)
    version = models.CharField(max_length=4)
    valid_from = models.DateField()
    definition = models.JSONField()
    sha256 = models.CharField(max_length=64)
    loaded_at = models.DateTimeField()

    class Meta:
        constraints = [
            models.UniqueConstraint(fields=["key", "version"], name="protocol_version_once"),
        ]
        ordering = ["key", "version"]

    def __str__(self) -> str:
        return f"{self.key}/{self.version}"

    def read(self) -> Protocol:
        """Return the definition as an object."""
        return Protocol.model_validate(self.definition)
