"""Signatures, and the clearing of flags: what a named person put a hand to."""

from __future__ import annotations

from django.db import models

from project.models.records import Act


class Signature(Act):
    """A printed name, a meaning and the hash of what was signed."""

    printed_name = models.CharField(max_length=120)
    role = models.CharField(max_length=24)
    meaning = models.CharField(max_length=200)
    statement = models.TextField(blank=True, default="")
    content_sha256 = models.CharField(max_length=64, db_index=True)
    declared_at = models.DateTimeField(null=True, blank=True)
    signed_at = models.DateTimeField()

    class Meta:
        ordering = ("signed_at",)

    def __str__(self) -> str:
        return f"{self.printed_name}: {self.meaning}"


class FlagCleared(Act):
    """A contradiction on record that somebody looked into and explained.

    The flag itself is computed from the facts; `key` names it and the subject is
    named, not linked, since flags stand on records of every app.
    """

    subject_kind = models.CharField(max_length=40)
    subject_id = models.UUIDField()
    key = models.CharField(max_length=40)
    words = models.TextField()

    class Meta:
        ordering = ("recorded_at",)
        constraints = (
            models.UniqueConstraint(
                fields=("subject_id", "key"), name="project_flag_cleared_once"
            ),
        )

    def __str__(self) -> str:
        return f"{self.key} cleared"
