"""What is granted beside the gates: the engineer's waivers, a calendar's address."""

from __future__ import annotations

from django.db import models
from django.db.models import F, Q

from crews.domain.trade_words import WaivedGate
from crews.models.crews import Rig
from crews.models.panels import Panel
from crews.models.people import Operator
from project.models import ElementPart, Fact, Living, Membership, MixRevision
from project.models.jobs import Job


class Waiver(Fact):
    """The engineer's written word that one gate need not hold, for a scope and a time.

    An empty column of the scope means all. A mock-up equivalence names the accepted
    mock-up that is to stand for the part.
    """

    gate = models.CharField(
        max_length=24, choices=[(g.value, g.value) for g in WaivedGate]
    )
    operator = models.ForeignKey(
        Operator, on_delete=models.PROTECT, null=True, blank=True, related_name="+"
    )
    part = models.ForeignKey(
        ElementPart, on_delete=models.PROTECT, null=True, blank=True, related_name="+"
    )
    mix_revision = models.ForeignKey(
        MixRevision, on_delete=models.PROTECT, null=True, blank=True, related_name="+"
    )
    rig = models.ForeignKey(
        Rig, on_delete=models.PROTECT, null=True, blank=True, related_name="+"
    )
    mock_up = models.ForeignKey(
        Panel, on_delete=models.PROTECT, null=True, blank=True, related_name="+"
    )
    from_at = models.DateTimeField()
    until_at = models.DateTimeField()
    words = models.TextField()

    class Meta(Fact.Meta):
        ordering = ("from_at",)
        constraints = (
            *Fact.Meta.constraints,
            models.CheckConstraint(
                condition=Q(until_at__gt=F("from_at")),
                name="crews_waiver_until_after_from",
            ),
            models.CheckConstraint(
                condition=Q(gate__in=[g.value for g in WaivedGate]),
                name="crews_waiver_gate_waivable",
            ),
            models.CheckConstraint(
                condition=~Q(gate=WaivedGate.MOCK_UP.value) | Q(mock_up__isnull=False),
                name="crews_waiver_equivalence_names_mock_up",
            ),
            models.CheckConstraint(condition=~Q(words=""), name="crews_waiver_worded"),
        )
        indexes = (
            models.Index(fields=("job", "operator"), name="waiver_job_operator"),
        )

    def __str__(self) -> str:
        return f"waiver of the {self.gate}"


class CalendarAddress(Living):
    """An address under which a member's calendar reads what ends next.

    Only the hash is kept: who has the address reads, until it is revoked.
    """

    job = models.ForeignKey(Job, on_delete=models.PROTECT, related_name="+")
    membership = models.ForeignKey(
        Membership, on_delete=models.PROTECT, related_name="+"
    )
    secret_sha256 = models.CharField(max_length=64, unique=True)
    made_at = models.DateTimeField()
    revoked_at = models.DateTimeField(null=True, blank=True)

    class Meta:
        ordering = ("made_at",)

    def __str__(self) -> str:
        return f"calendar of {self.membership}"
