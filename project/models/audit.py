"""The audit trail: one hash chain for each job and each firm."""

from __future__ import annotations

from django.db import models

from project.models.records import Identified


class AuditHead(Identified):
    """The end of a chain: the row that every act on the stream locks."""

    stream = models.CharField(max_length=60, unique=True)
    seq = models.PositiveBigIntegerField(default=0)
    at = models.DateTimeField()
    hash = models.CharField(max_length=64, blank=True, default="")

    class Meta:
        ordering = ("stream",)

    def __str__(self) -> str:
        return f"{self.stream} {self.seq}"


class AuditEvent(Identified):
    """One act, one line. Plain identities and text: it outlives what it names."""

    stream = models.CharField(max_length=60)
    seq = models.PositiveBigIntegerField()
    at = models.DateTimeField()
    actor_id = models.UUIDField()
    actor_text = models.CharField(max_length=200)
    verb = models.CharField(max_length=60)
    subject_kind = models.CharField(max_length=40)
    subject_id = models.UUIDField()
    subject_text = models.CharField(max_length=200)
    payload = models.JSONField()
    prev = models.CharField(max_length=64, blank=True, default="")
    hash = models.CharField(max_length=64)

    class Meta:
        ordering = ("stream", "seq")
        constraints = (
            models.UniqueConstraint(
                fields=("stream", "seq"), name="project_auditevent_stream_seq"
            ),
        )
        indexes = (
            models.Index(fields=("subject_id", "seq"), name="audit_subject_seq"),
        )

    def __str__(self) -> str:
        return f"{self.stream} {self.seq} {self.verb}"
