"""Crews and their rigs."""

from __future__ import annotations

from django.db import models
from django.db.models import F, Q

from crews.domain import demand
from crews.domain.trade_words import RigKind, Trade
from project.domain.verdict import Ref
from project.models import Fact, Living, Organization
from project.models.records import MeasureField, UnitField, with_unit


class Crew(Living):
    """A contractor's crew."""

    organization = models.ForeignKey(
        Organization, on_delete=models.PROTECT, related_name="+"
    )
    code = models.CharField(max_length=12)

    class Meta:
        ordering = ("code",)
        constraints = (
            models.UniqueConstraint(
                fields=("organization", "code"), name="crews_crew_code"
            ),
        )

    def __str__(self) -> str:
        return self.code


class CrewMember(Living):
    """A person of a crew who is not, or not only, on the nozzle."""

    organization = models.ForeignKey(
        Organization, on_delete=models.PROTECT, related_name="+"
    )
    crew = models.ForeignKey(Crew, on_delete=models.PROTECT, related_name="members")
    name = models.CharField(max_length=120)
    trade = models.CharField(max_length=16, choices=[(t.value, t.value) for t in Trade])

    class Meta:
        ordering = ("crew", "name")

    def __str__(self) -> str:
        return f"{self.name}, {self.trade}"


class Rig(Living):
    """What carries the concrete to the nozzle: pump or gun, air, hose."""

    organization = models.ForeignKey(
        Organization, on_delete=models.PROTECT, related_name="+"
    )
    code = models.CharField(max_length=20)
    rig_kind = models.CharField(
        max_length=16, choices=[(k.value, k.value) for k in RigKind]
    )
    machine = models.CharField(max_length=80, blank=True, default="")
    compressor = models.CharField(max_length=80, blank=True, default="")
    air_flow = MeasureField()
    air_flow_unit = UnitField("flow")
    hose_diameter = MeasureField()
    hose_diameter_unit = UnitField("length")
    hose_length = MeasureField()
    hose_length_unit = UnitField("length")

    class Meta:
        ordering = ("code",)
        constraints = (
            models.UniqueConstraint(
                fields=("organization", "code"), name="crews_rig_code"
            ),
            with_unit("air_flow"),
            with_unit("hose_diameter"),
            with_unit("hose_length"),
        )

    def __str__(self) -> str:
        return self.code

    @property
    def ref(self) -> Ref:
        return Ref("rig", str(self.pk), self.code)


class RigEquivalence(Fact):
    """The engineer's word that a mock-up on one rig covers another."""

    rig = models.ForeignKey(Rig, on_delete=models.PROTECT, related_name="+")
    other = models.ForeignKey(Rig, on_delete=models.PROTECT, related_name="+")
    accepted_at = models.DateTimeField()
    words = models.TextField(blank=True, default="")

    FACTS = ("rig", "other", "accepted_at")

    class Meta(Fact.Meta):
        ordering = ("accepted_at",)
        constraints = (
            *Fact.Meta.constraints,
            models.CheckConstraint(
                condition=~Q(rig=F("other")), name="crews_rig_not_its_own_equal"
            ),
        )

    def __str__(self) -> str:
        return f"{self.rig} as {self.other}"

    def facts(self) -> demand.RigEquivalence:
        return demand.RigEquivalence(
            id=self.pk,
            recorded_at=self.recorded_at,
            supersedes=self.supersedes_id,
            withdrawn=self.withdrawn,
            rigs=frozenset({str(self.rig_id), str(self.other_id)}),
            accepted_at=self.accepted_at,
        )
