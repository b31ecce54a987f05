"""What publication remembers about places; private, never read by the open side."""

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
