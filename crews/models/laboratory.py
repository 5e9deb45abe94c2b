"""What the laboratory reported. A correction is a new letter; both are kept."""

from __future__ import annotations

from django.db import models
from django.db.models import Q

from crews.domain.trade_words import CoreReinforcement
from crews.models.panels import Core
from project.models import Act, Attachment, Fact, Organization
from project.models.records import MeasureField, UnitField, with_unit


class LabReport(Fact):
    """One report of a laboratory, superseded whole by its next letter."""

    laboratory = models.ForeignKey(
        Organization, on_delete=models.PROTECT, related_name="+"
    )
    number = models.CharField(max_length=40)
    letter = models.CharField(max_length=4, default="A")
    test_method = models.CharField(max_length=80, blank=True, default="")
    authorised_by = models.CharField(max_length=120, blank=True, default="")
    issued_on = models.DateField()
    received_at = models.DateTimeField()
    remarks = models.TextField(blank=True, default="")
    certificate = models.ForeignKey(
        Attachment, on_delete=models.PROTECT, null=True, blank=True, related_name="+"
    )

    class Meta(Fact.Meta):
        ordering = ("number", "letter")
        constraints = (
            *Fact.Meta.constraints,
            models.UniqueConstraint(
                fields=("job", "laboratory", "number", "letter"),
                name="crews_lab_report_number",
            ),
        )

    def __str__(self) -> str:
        return f"{self.number} {self.letter}"


class LabResult(Act):
    """One core as tested, in the laboratory's own units."""

    # The letter itself, not its chain: the figures of an earlier letter stay with it.
    report = models.ForeignKey(
        LabReport, on_delete=models.PROTECT, related_name="results"
    )
    core = models.ForeignKey(Core, on_delete=models.PROTECT, related_name="+")
    lab_number = models.CharField(max_length=40, blank=True, default="")
    tested_at = models.DateTimeField()
    d1 = MeasureField()
    d2 = MeasureField()
    diameter_unit = UnitField("length")
    length_drilled = MeasureField()
    length_tested = MeasureField()
    length_unit = UnitField("length")
    breaking_load = MeasureField()
    breaking_load_unit = UnitField("force")
    # A report that states only strength; compared where the load is known too.
    strength = MeasureField()
    strength_unit = UnitField("pressure")
    conditioning = models.CharField(max_length=80, blank=True, default="")
    reinforcement = models.CharField(
        max_length=12,
        choices=[(r.value, r.value) for r in CoreReinforcement],
        blank=True,
        default="",
    )
    damage = models.CharField(max_length=160, blank=True, default="")
    fracture = models.CharField(max_length=80, blank=True, default="")
    density = MeasureField()
    density_unit = UnitField("density")

    class Meta:
        ordering = ("report", "core")
        constraints = (
            models.UniqueConstraint(
                fields=("report", "core"), name="crews_lab_result_core"
            ),
            models.CheckConstraint(
                condition=Q(breaking_load__isnull=False) | Q(strength__isnull=False),
                name="crews_lab_result_load_or_strength",
            ),
            with_unit("diameter", "d1", "d2"),
            with_unit("length", "length_drilled", "length_tested"),
            with_unit("breaking_load"),
            with_unit("strength"),
            with_unit("density"),
        )

    def __str__(self) -> str:
        return f"{self.core}"
