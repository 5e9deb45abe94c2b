"""The owner's packet: what was told, frozen, numbered and revisioned."""

from __future__ import annotations

from django.db import models
from django.db.models import F, Q

from project.models import Act


class Packet(Act):
    """One revision of a packet for a stretch of days, from preparing to issuing.

    The file and its snapshot are made when it is issued, kept by their hash, and
    never rebuilt; until then there is nothing but the cut it will be known at.
    """

    ONCE = {
        "issued_recorded_at": (
            "snapshot_sha256",
            "file_sha256",
            "file_bytes",
            "pages",
            "layout_version",
        )
    }

    number = models.PositiveIntegerField()
    revision = models.PositiveSmallIntegerField(default=0)
    packet_kind = models.CharField(max_length=12, default="week")
    from_on = models.DateField()
    to_on = models.DateField()
    cut_at = models.DateTimeField()
    snapshot_sha256 = models.CharField(max_length=64, blank=True, default="")
    file_sha256 = models.CharField(max_length=64, blank=True, default="")
    file_bytes = models.PositiveBigIntegerField(null=True, blank=True)
    pages = models.PositiveIntegerField(null=True, blank=True)
    layout_version = models.PositiveSmallIntegerField(null=True, blank=True)
    issued_recorded_at = models.DateTimeField(null=True, blank=True)
    reason = models.TextField(blank=True, default="")

    class Meta:
        ordering = ("number", "revision")
        constraints = (
            models.UniqueConstraint(
                fields=("job", "number", "revision"), name="inspections_packet_revision"
            ),
            models.CheckConstraint(
                condition=Q(revision=0) | ~Q(reason=""),
                name="inspections_packet_revision_has_reason",
            ),
            models.CheckConstraint(
                condition=Q(to_on__gte=F("from_on")),
                name="inspections_packet_from_before_to",
            ),
        )

    def __str__(self) -> str:
        return f"{self.code} revision {self.revision}"

    @property
    def code(self) -> str:
        return f"PK-{self.number:02d}"


class PacketRecord(Act):
    """One version of one record that a packet told of, with its hash."""

    packet = models.ForeignKey(Packet, on_delete=models.PROTECT, related_name="records")
    record_kind = models.CharField(max_length=40)
    record_id = models.UUIDField(db_index=True)
    record_text = models.CharField(max_length=120)
    version = models.PositiveSmallIntegerField(default=1)
    sha256 = models.CharField(max_length=64)

    class Meta:
        ordering = ("packet", "record_kind", "record_text")
        constraints = (
            models.UniqueConstraint(
                fields=("packet", "record_id"), name="inspections_packet_record"
            ),
        )

    def __str__(self) -> str:
        return self.record_text
