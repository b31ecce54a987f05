"""The trail: rows are added, never changed."""

from typing import Any, NoReturn

from django.db import models


class AuditEntry(models.Model):
    """Who did what to which record; each entry carries the hash of the one before."""

    at = models.DateTimeField()
    actor = models.CharField(max_length=120)
    action = models.CharField(max_length=60)
    subject_kind = models.CharField(max_length=40)
    subject_key = models.CharField(max_length=120)
    detail = models.JSONField(default=dict)
    previous_hash = models.CharField(max_length=64, blank=True)
    entry_hash = models.CharField(max_length=64, unique=True)

    class Meta:
        verbose_name_plural = "audit entries"
        ordering = ["id"]
        indexes = [models.Index(fields=["subject_kind", "at"])]

    def __str__(self) -> str:
        return f"{self.action} {self.subject_kind} {self.subject_key}"

    def save(self, *args: Any, **kwargs: Any) -> None:
        """Add a new entry.

        Raises
        ------
        TypeError
            If the entry exists already.
        """
        if not self._state.adding:
            msg = "An audit entry is never changed."
            raise TypeError(msg)
        super().save(*args, **kwargs)

    def delete(self, *args: Any, **kwargs: Any) -> NoReturn:  # noqa: ARG002 -- Django's signature
        """Refuse.

        Raises
        ------
        TypeError
            Always.
        """
        msg = "An audit entry is never deleted."
        raise TypeError(msg)
