"""What publication remembers about places and rules; private, never read by the open side."""

from typing import Any, NoReturn

from django.db import models


class SitePlacement(models.Model):
    """Which group of places a published site belongs to, and whose it is."""

    site_id = models.UUIDField(primary_key=True, help_text="Public site id.")
    place_class = models.CharField(max_length=20)
    unit = models.CharField(max_length=100)
    cell = models.CharField(max_length=40)

    class Meta:
        indexes = [models.Index(fields=["place_class", "cell"])]

    def __str__(self) -> str:
        return str(self.site_id)


class AppendOnly(models.Model):
    """A row that is added and never changed."""

    class Meta:
        abstract = True

    def save(self, *args: Any, **kwargs: Any) -> None:
        """Add a new row.

        Raises
        ------
        TypeError
            If the row exists already.
        """
        if not self._state.adding:
            msg = "This row is never changed; add a new one."
            raise TypeError(msg)
        super().save(*args, **kwargs)

    def delete(self, *args: Any, **kwargs: Any) -> NoReturn:  # noqa: ARG002 -- Django's signature
        """Refuse.

        Raises
        ------
        TypeError
            Always.
        """
        msg = "This row is never deleted."
        raise TypeError(msg)


class GeneralisationSetting(AppendOnly):
    """All rules of generalisation as somebody set them; the newest in force holds."""

    rules = models.JSONField(help_text="Every rule, not only what changed.")
    author = models.CharField(max_length=120)
    reason = models.CharField(max_length=500)
    made_at = models.DateTimeField()
    needs_second = models.BooleanField(help_text="Lets more be seen: waits for a second steward.")

    class Meta:
        ordering = ["id"]

    def __str__(self) -> str:
        return f"rules {self.pk}"


class SettingConfirmation(AppendOnly):
    """That a second steward agreed to rules that let more be seen."""

    setting = models.OneToOneField(
        GeneralisationSetting, on_delete=models.PROTECT, related_name="confirmation"
    )
    author = models.CharField(max_length=120)
    made_at = models.DateTimeField()

    class Meta:
        ordering = ["id"]

    def __str__(self) -> str:
        return f"confirmation of {self.setting}"
