"""Files kept byte for byte, and what they said of themselves."""

from __future__ import annotations

from django.db import models

from project.models.records import Act


class Attachment(Act):
    """An original, named by its hash, with its derivatives named by theirs."""

    sha256 = models.CharField(max_length=64, db_index=True)
    file_kind = models.CharField(max_length=8)
    name = models.CharField(max_length=160)
    bytes = models.PositiveBigIntegerField()
    width = models.PositiveIntegerField(null=True, blank=True)
    height = models.PositiveIntegerField(null=True, blank=True)
    taken_at = models.DateTimeField(null=True, blank=True)
    taken_offset = models.CharField(max_length=8, blank=True, default="")
    latitude = models.DecimalField(
        max_digits=9, decimal_places=6, null=True, blank=True
    )
    longitude = models.DecimalField(
        max_digits=9, decimal_places=6, null=True, blank=True
    )
    # {"1280": {"sha256", "width", "height"}, …}
    derivatives = models.JSONField(default=dict, blank=True)

    class Meta:
        ordering = ("recorded_at",)

    def __str__(self) -> str:
        return self.name
