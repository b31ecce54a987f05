"""The stored protocol versions."""

from typing import Any, NoReturn

from django.db import models
from django.db.models import Q

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


class CheckSetting(models.Model):
    """Parameters of checks that hold in place of a protocol's own; its newest row holds whole."""

    protocol = models.ForeignKey(ProtocolVersion, on_delete=models.PROTECT, related_name="settings")
    parameters = models.JSONField()
    author = models.CharField(max_length=120)
    reason = models.CharField(max_length=500)
    made_at = models.DateTimeField()

    class Meta:
        ordering = ["id"]

    def __str__(self) -> str:
        return f"{self.protocol}: {', '.join(sorted(self.parameters)) or 'its own parameters'}"


class TaxonSensitivity(models.Model):
    """How sensitive a taxon is, as a steward set it; the newest row of a name holds.

    Categories are those of Chapman 2020 (doi 10.15468/doc-5jp4-5g10): 1 is the most sensitive,
    4 the least; none means that the taxon is not sensitive (any more).
    """

    scientific_name = models.CharField(max_length=120)
    category = models.PositiveSmallIntegerField(null=True, blank=True)
    author = models.CharField(max_length=120)
    reason = models.CharField(max_length=500)
    made_at = models.DateTimeField()

    class Meta:
        verbose_name_plural = "taxon sensitivities"
        ordering = ["id"]
        constraints = [
            models.CheckConstraint(
                condition=Q(category__isnull=True) | Q(category__gte=1, category__lte=4),
                name="sensitivity_category_known",
            ),
        ]

    def __str__(self) -> str:
        return f"{self.scientific_name}: {self.category or 'not sensitive'}"

    def save(self, *args: Any, **kwargs: Any) -> None:
        """Add a new row.

        Raises
        ------
        TypeError
            If the row exists already.
        """
        if not self._state.adding:
            msg = "A sensitivity is never changed; add a new one."
            raise TypeError(msg)
        super().save(*args, **kwargs)

    def delete(self, *args: Any, **kwargs: Any) -> NoReturn:  # noqa: ARG002 -- Django's signature
        """Refuse.

        Raises
        ------
        TypeError
            Always.
        """
        msg = "A sensitivity is never deleted."
        raise TypeError(msg)
