"""Panels of five kinds, their cores, and the judgement of a mock-up."""

from __future__ import annotations

from django.db import models
from django.db.models import F, Q

from crews.domain.trade_words import (
    DecisionOutcome,
    Method,
    PanelKind,
    RatingDecision,
)
from crews.models.crews import Rig
from crews.models.people import Operator
from crews.models.shooting import Placement, Shift
from project.domain.shooting_words import Position
from project.models import (
    ElementPart,
    Fact,
    Membership,
    MixRevision,
    Organization,
    Signature,
)
from project.models.records import MeasureField, UnitField, unique_fact, with_unit


class Panel(Fact):
    """What is shot to be looked at or cored; cores from the work are one too."""

    code = models.CharField(max_length=16)
    panel_kind = models.CharField(
        max_length=24, choices=[(k.value, k.value) for k in PanelKind]
    )
    mix_revision = models.ForeignKey(
        MixRevision, on_delete=models.PROTECT, related_name="+"
    )
    method = models.CharField(
        max_length=8,
        choices=[(m.value, m.value) for m in Method],
        default=Method.HAND,
    )
    rig = models.ForeignKey(
        Rig, on_delete=models.PROTECT, null=True, blank=True, related_name="+"
    )
    position = models.CharField(
        max_length=16, choices=[(p.value, p.value) for p in Position]
    )
    operator = models.ForeignKey(
        Operator, on_delete=models.PROTECT, null=True, blank=True, related_name="+"
    )
    # A panel two operators shot proves the mix only; both still owe one.
    shared_with = models.ForeignKey(
        Operator, on_delete=models.PROTECT, null=True, blank=True, related_name="+"
    )
    supervisor = models.ForeignKey(
        Operator, on_delete=models.PROTECT, null=True, blank=True, related_name="+"
    )
    shot_from = models.DateTimeField()
    shot_to = models.DateTimeField(null=True, blank=True)
    work_date = models.DateField()
    shift = models.ForeignKey(
        Shift, on_delete=models.PROTECT, null=True, blank=True, related_name="+"
    )
    placement = models.ForeignKey(
        Placement, on_delete=models.PROTECT, null=True, blank=True, related_name="+"
    )
    part = models.ForeignKey(
        ElementPart, on_delete=models.PROTECT, null=True, blank=True, related_name="+"
    )
    length = MeasureField()
    width = MeasureField()
    depth = MeasureField()
    size_unit = UnitField("length")
    # What a mock-up carries: thickness of the work, bars, splice (as on a part).
    mockup_class = models.CharField(max_length=12, blank=True, default="")
    thickness = MeasureField()
    thickness_unit = UnitField("length")
    reinforcement = models.JSONField(default=dict, blank=True)
    # In place: {"nozzle_time": …} whose missing panel these cores stand for.
    stands_for = models.JSONField(null=True, blank=True)
    laboratory = models.ForeignKey(
        Organization, on_delete=models.PROTECT, null=True, blank=True, related_name="+"
    )
    witness = models.ForeignKey(
        Membership, on_delete=models.PROTECT, null=True, blank=True, related_name="+"
    )
    witness_words = models.CharField(max_length=200, blank=True, default="")

    FACTS = (
        *("first", "code", "operator", "shared_with", "shot_from", "mockup_class"),
        *("mix_revision", "method", "position", "rig__code"),
        *("reinforcement", "thickness", "thickness_unit"),
    )

    class Meta(Fact.Meta):
        ordering = ("code",)
        constraints = (
            *Fact.Meta.constraints,
            unique_fact("job", "code", name="crews_panel_code"),
            models.CheckConstraint(
                condition=Q(shared_with__isnull=True) | ~Q(shared_with=F("operator")),
                name="crews_panel_not_shared_with_itself",
            ),
            models.CheckConstraint(
                condition=Q(shot_to__isnull=True) | Q(shot_to__gt=F("shot_from")),
                name="crews_panel_to_after_from",
            ),
            with_unit("size", "length", "width", "depth"),
            with_unit("thickness"),
        )
        indexes = (
            models.Index(fields=("job", "work_date"), name="panel_job_work_date"),
            models.Index(
                fields=("operator", "mix_revision"), name="panel_operator_mix"
            ),
        )

    def __str__(self) -> str:
        return self.code


class PanelJudgement(Fact):
    """The engineer's dated word on a mock-up, or the architect's on a sample."""

    panel = models.ForeignKey(Panel, on_delete=models.PROTECT, related_name="+")
    decided_at = models.DateTimeField()
    decision = models.CharField(
        max_length=32, choices=[(d.value, d.value) for d in DecisionOutcome]
    )
    scope = models.JSONField(default=dict, blank=True)
    words = models.TextField(blank=True, default="")
    signature = models.ForeignKey(
        Signature, on_delete=models.PROTECT, null=True, blank=True, related_name="+"
    )

    class Meta(Fact.Meta):
        ordering = ("decided_at",)
        indexes = (
            models.Index(fields=("panel", "recorded_at"), name="judgement_panel"),
        )

    def __str__(self) -> str:
        return f"{self.panel}: {self.decision}"


class VisualRating(Fact):
    """A dated word on the faces of a panel's cores, seen as a group."""

    panel = models.ForeignKey(Panel, on_delete=models.PROTECT, related_name="+")
    rated_at = models.DateTimeField()
    # The numbers of the cores that were looked at together.
    cores = models.JSONField(default=list, blank=True)
    decision = models.CharField(
        max_length=20, choices=[(d.value, d.value) for d in RatingDecision]
    )
    words = models.TextField(blank=True, default="")

    FACTS = ("panel", "rated_at", "decision")

    class Meta(Fact.Meta):
        ordering = ("rated_at",)
        indexes = (models.Index(fields=("panel", "recorded_at"), name="rating_panel"),)

    def __str__(self) -> str:
        return f"{self.panel}: {self.decision}"


class Core(Fact):
    """One core of a panel: where, how old it shall be, when it is due."""

    panel = models.ForeignKey(Panel, on_delete=models.PROTECT, related_name="+")
    number = models.PositiveSmallIntegerField()
    x = MeasureField()
    y = MeasureField()
    place_unit = UnitField("length")
    grid = models.CharField(max_length=20, blank=True, default="")
    planned_age_days = models.PositiveSmallIntegerField()
    due_on = models.DateField()
    diameter = MeasureField()
    diameter_unit = UnitField("length")
    drilled_at = models.DateTimeField(null=True, blank=True)
    hole_ok = models.BooleanField(null=True, blank=True)

    class Meta(Fact.Meta):
        ordering = ("panel", "number")
        constraints = (
            *Fact.Meta.constraints,
            unique_fact("panel", "number", name="crews_core_number"),
            with_unit("place", "x", "y"),
            with_unit("diameter"),
        )
        indexes = (models.Index(fields=("job", "due_on"), name="core_job_due_on"),)

    def __str__(self) -> str:
        return f"{self.panel} core {self.number}"
