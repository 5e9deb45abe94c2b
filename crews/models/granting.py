"""What is granted beside the gates: the engineer's waivers, a calendar's address."""

from __future__ import annotations

from django.db import models
from django.db.models import F, Q

from crews.domain import waivers
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

    FACTS = (
        *("gate", "from_at", "until_at", "words", "recorded_by__user__printed_name"),
        *("operator", "part__code", "mix_revision", "rig", "mock_up"),
    )

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

    def facts(self) -> waivers.Waiver:
        """Return the waiver with its part's code and who gave it, read beside it."""
        return waivers.Waiver(
            id=self.pk,
            recorded_at=self.recorded_at,
            supersedes=self.supersedes_id,
            withdrawn=self.withdrawn,
            gate=WaivedGate(self.gate),
            from_at=self.from_at,
            until_at=self.until_at,
            operator=str(self.operator_id or ""),
            part=self.part.code if self.part is not None else "",
            mix=str(self.mix_revision_id or ""),
            rig=str(self.rig_id or ""),
            mock_up=str(self.mock_up_id or ""),
            given_by=self.recorded_by.user.printed_name,
            words=self.words,
        )


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
