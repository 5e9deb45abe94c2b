"""What was not right, and each move that put it right."""

from __future__ import annotations

from django.db import models
from django.db.models import Q

from inspections.domain.catalogue import Severity
from inspections.models.reports import DailyReport, Round
from project.models import Act, Attachment, ElementPart, Fact, Organization, Signature
from project.models.records import MeasureField, UnitField, unique_fact, with_unit


class Deficiency(Fact):
    """One thing that was not right at one place."""

    number = models.PositiveIntegerField()
    organization = models.ForeignKey(
        Organization, on_delete=models.PROTECT, related_name="+"
    )
    report = models.ForeignKey(
        DailyReport, on_delete=models.PROTECT, null=True, blank=True, related_name="+"
    )
    round = models.ForeignKey(
        Round, on_delete=models.PROTECT, null=True, blank=True, related_name="+"
    )
    part = models.ForeignKey(
        ElementPart, on_delete=models.PROTECT, null=True, blank=True, related_name="+"
    )
    item = models.CharField(max_length=60)
    seen_at = models.DateTimeField()
    severity = models.CharField(
        max_length=16, choices=[(s.value, s.value) for s in Severity]
    )
    place = models.CharField(max_length=80, blank=True, default="")
    words = models.TextField(blank=True, default="")
    cause = models.CharField(max_length=120, blank=True, default="")
    volume_removed = MeasureField()
    volume_removed_unit = UnitField("volume")

    class Meta(Fact.Meta):
        ordering = ("number",)
        constraints = (
            *Fact.Meta.constraints,
            unique_fact("job", "number", name="inspections_deficiency_number"),
            with_unit("volume_removed"),
        )
        indexes = (models.Index(fields=("job", "seen_at"), name="deficiency_job_seen"),)

    def __str__(self) -> str:
        return self.code

    @property
    def code(self) -> str:
        return f"DEF-{self.number:03d}"


class Nonconformance(Fact):
    """A report that something does not meet its requirement, numbered without gaps."""

    number = models.PositiveIntegerField()
    # What it is about is named, not linked: a nozzle time, a load, a panel, a result.
    about_kind = models.CharField(max_length=40)
    about_id = models.UUIDField()
    about_text = models.CharField(max_length=120)
    part = models.ForeignKey(
        ElementPart, on_delete=models.PROTECT, null=True, blank=True, related_name="+"
    )
    requirement = models.CharField(max_length=240)
    words = models.TextField()
    containment = models.TextField(blank=True, default="")
    observed_at = models.DateTimeField()
    written_at = models.DateTimeField()

    class Meta(Fact.Meta):
        ordering = ("number",)
        constraints = (
            *Fact.Meta.constraints,
            unique_fact("job", "number", name="inspections_ncr_number"),
        )
        indexes = (
            models.Index(fields=("job", "observed_at"), name="ncr_job_observed"),
        )

    def __str__(self) -> str:
        return self.code

    @property
    def code(self) -> str:
        return f"NCR-{self.number:03d}"


class Move(Act):
    """One step in the life of a deficiency, a report, a packet, a nonconformance."""

    deficiency = models.ForeignKey(
        Deficiency, on_delete=models.PROTECT, null=True, blank=True, related_name="+"
    )
    nonconformance = models.ForeignKey(
        Nonconformance,
        on_delete=models.PROTECT,
        null=True,
        blank=True,
        related_name="+",
    )
    report = models.ForeignKey(
        DailyReport, on_delete=models.PROTECT, null=True, blank=True, related_name="+"
    )
    packet = models.ForeignKey(
        "inspections.Packet",
        on_delete=models.PROTECT,
        null=True,
        blank=True,
        related_name="+",
    )
    n = models.PositiveSmallIntegerField()
    move = models.CharField(max_length=32)
    # The state table's answer to the act, not a judgement of facts.
    state = models.CharField(max_length=24)
    role = models.CharField(max_length=24)
    at = models.DateTimeField()
    words = models.TextField(blank=True, default="")
    evidence = models.JSONField(default=dict, blank=True)
    attachment = models.ForeignKey(
        Attachment, on_delete=models.PROTECT, null=True, blank=True, related_name="+"
    )
    signature = models.ForeignKey(
        Signature, on_delete=models.PROTECT, null=True, blank=True, related_name="+"
    )

    SUBJECTS = ("deficiency", "nonconformance", "report", "packet")

    class Meta:
        ordering = ("at", "n")
        constraints = (
            models.CheckConstraint(
                condition=(
                    Q(
                        deficiency__isnull=False,
                        nonconformance=None,
                        report=None,
                        packet=None,
                    )
                    | Q(
                        deficiency=None,
                        nonconformance__isnull=False,
                        report=None,
                        packet=None,
                    )
                    | Q(
                        deficiency=None,
                        nonconformance=None,
                        report__isnull=False,
                        packet=None,
                    )
                    | Q(
                        deficiency=None,
                        nonconformance=None,
                        report=None,
                        packet__isnull=False,
                    )
                ),
                name="inspections_move_one_subject",
            ),
            # Two people at once: the second finds the number taken and is told.
            models.UniqueConstraint(
                fields=("deficiency", "n"), name="inspections_move_deficiency_n"
            ),
            models.UniqueConstraint(
                fields=("nonconformance", "n"), name="inspections_move_ncr_n"
            ),
            models.UniqueConstraint(
                fields=("report", "n"), name="inspections_move_report_n"
            ),
            models.UniqueConstraint(
                fields=("packet", "n"), name="inspections_move_packet_n"
            ),
        )

    def __str__(self) -> str:
        return f"{self.move}: {self.state}"
