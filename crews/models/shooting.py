"""Who shot what, when: shifts, plans, placements, nozzle times, presence."""

from __future__ import annotations

from django.core.exceptions import ValidationError
from django.db import models
from django.db.models import F, Q
from django.utils.translation import gettext_lazy as _

from crews.domain.trade_words import (
    Method,
    Moment,
    PresenceRole,
    ShiftName,
    VolumeBasis,
)
from crews.models.crews import Crew, CrewMember, Rig
from crews.models.people import Operator
from project.models import (
    Act,
    Coat,
    ElementPart,
    Fact,
    Membership,
    MixRevision,
    Organization,
)
from project.models.records import MeasureField, UnitField, unique_fact, with_unit


class Shift(Fact):
    """A contractor's stretch of work, named by the local date on which it began."""

    ONCE = {"stops_recorded_at": ("stops_at",)}

    organization = models.ForeignKey(
        Organization, on_delete=models.PROTECT, related_name="+"
    )
    work_date = models.DateField()
    name = models.CharField(
        max_length=12,
        choices=[(n.value, n.value) for n in ShiftName],
        default=ShiftName.DAY,
    )
    starts_at = models.DateTimeField()
    stops_at = models.DateTimeField(null=True, blank=True)
    stops_recorded_at = models.DateTimeField(null=True, blank=True)
    no_work_reason = models.CharField(max_length=160, blank=True, default="")

    class Meta(Fact.Meta):
        ordering = ("work_date", "name")
        constraints = (
            *Fact.Meta.constraints,
            unique_fact(
                "job", "organization", "work_date", "name", name="crews_shift_day_name"
            ),
            models.CheckConstraint(
                condition=Q(stops_at__isnull=True) | Q(stops_at__gt=F("starts_at")),
                name="crews_shift_stop_after_start",
            ),
        )

    def __str__(self) -> str:
        return f"{self.work_date} {self.name}"

    def clean(self) -> None:
        super().clean()
        _stop_after_start("stops_at", self.starts_at, self.stops_at)


class Placement(Fact):
    """One part (or coat of it), one mix, one rig, one shift."""

    ONCE = {
        "waste_recorded_at": ("line_waste", "removed", "cuttings", "waste_unit"),
    }
    ADDED = frozenset(
        {"line_waste", "removed", "cuttings", "waste_unit", "waste_recorded_at"}
    )

    shift = models.ForeignKey(Shift, on_delete=models.PROTECT, related_name="+")
    code = models.CharField(max_length=16)
    part = models.ForeignKey(ElementPart, on_delete=models.PROTECT, related_name="+")
    coat = models.ForeignKey(
        Coat, on_delete=models.PROTECT, null=True, blank=True, related_name="+"
    )
    mix_revision = models.ForeignKey(
        MixRevision, on_delete=models.PROTECT, related_name="+"
    )
    crew = models.ForeignKey(Crew, on_delete=models.PROTECT, related_name="+")
    rig = models.ForeignKey(Rig, on_delete=models.PROTECT, related_name="+")
    method = models.CharField(
        max_length=8,
        choices=[(m.value, m.value) for m in Method],
        default=Method.HAND,
    )
    # Where only a piece of the part is shot: its area, else the whole part counts.
    area = MeasureField()
    area_unit = UnitField("area")
    thickness = MeasureField()
    thickness_unit = UnitField("length")
    extent = models.CharField(max_length=120, blank=True, default="")
    # A reshoot names the nonconformance report it answers, as text.
    repairs = models.CharField(max_length=20, blank=True, default="")
    # What of the delivery is not in place: left in the line, bad work taken out while
    # fresh, what the trowel took. Told once, after the last shot.
    line_waste = MeasureField()
    removed = MeasureField()
    cuttings = MeasureField()
    waste_unit = UnitField("volume")
    waste_recorded_at = models.DateTimeField(null=True, blank=True)

    class Meta(Fact.Meta):
        ordering = ("code",)
        constraints = (
            *Fact.Meta.constraints,
            unique_fact("job", "code", name="crews_placement_code"),
            with_unit("waste", "line_waste", "removed", "cuttings"),
            with_unit("area"),
            with_unit("thickness"),
        )

    def __str__(self) -> str:
        return self.code


class PlannedPlacement(Fact):
    """Work that is meant to be shot: part, mix, rig and the instant it should begin."""

    organization = models.ForeignKey(
        Organization, on_delete=models.PROTECT, related_name="+"
    )
    code = models.CharField(max_length=16)
    part = models.ForeignKey(ElementPart, on_delete=models.PROTECT, related_name="+")
    mix_revision = models.ForeignKey(
        MixRevision, on_delete=models.PROTECT, related_name="+"
    )
    rig = models.ForeignKey(
        Rig, on_delete=models.PROTECT, null=True, blank=True, related_name="+"
    )
    method = models.CharField(
        max_length=8, choices=[(m.value, m.value) for m in Method], default=Method.HAND
    )
    starts_at = models.DateTimeField()

    class Meta(Fact.Meta):
        ordering = ("starts_at", "code")
        constraints = (
            *Fact.Meta.constraints,
            unique_fact("job", "code", name="crews_planned_code"),
        )
        indexes = (models.Index(fields=("job", "starts_at"), name="planned_job_start"),)

    def __str__(self) -> str:
        return self.code


class PlannedOperator(Fact):
    """An operator assigned to planned work; one who is refused has no such row."""

    planned = models.ForeignKey(
        PlannedPlacement, on_delete=models.PROTECT, related_name="+"
    )
    operator = models.ForeignKey(Operator, on_delete=models.PROTECT, related_name="+")
    supervisor = models.ForeignKey(
        Operator, on_delete=models.PROTECT, null=True, blank=True, related_name="+"
    )

    class Meta(Fact.Meta):
        ordering = ("planned", "operator")
        constraints = (
            *Fact.Meta.constraints,
            models.CheckConstraint(
                condition=Q(supervisor__isnull=True) | ~Q(supervisor=F("operator")),
                name="crews_planned_not_own_supervisor",
            ),
        )
        indexes = (models.Index(fields=("job", "planned"), name="planned_operator"),)

    def __str__(self) -> str:
        return f"{self.operator} on {self.planned}"


class NozzleTime(Fact):
    """One operator holding one nozzle, from a take to a leave."""

    ONCE = {
        "stopped_recorded_at": ("stopped_at",),
        "volume_recorded_at": ("volume", "volume_unit", "volume_basis"),
    }

    placement = models.ForeignKey(Placement, on_delete=models.PROTECT, related_name="+")
    operator = models.ForeignKey(Operator, on_delete=models.PROTECT, related_name="+")
    started_at = models.DateTimeField()
    stopped_at = models.DateTimeField(null=True, blank=True)
    stopped_recorded_at = models.DateTimeField(null=True, blank=True)
    # Only where somebody wrote it down at the leave; otherwise it is computed.
    volume = MeasureField()
    volume_unit = UnitField("volume")
    volume_basis = models.CharField(
        max_length=40,
        choices=[(b.value, b.value) for b in VolumeBasis],
        blank=True,
        default="",
    )
    volume_recorded_at = models.DateTimeField(null=True, blank=True)
    device_at = models.DateTimeField(null=True, blank=True)

    class Meta(Fact.Meta):
        ordering = ("started_at",)
        constraints = (
            *Fact.Meta.constraints,
            models.CheckConstraint(
                condition=Q(stopped_at__isnull=True)
                | Q(stopped_at__gt=F("started_at")),
                name="crews_nozzle_stop_after_start",
            ),
            with_unit("volume"),
        )
        indexes = (
            models.Index(
                fields=("job", "operator", "started_at"), name="nozzle_job_operator"
            ),
        )

    def __str__(self) -> str:
        return f"{self.placement}, {self.operator}"

    def clean(self) -> None:
        super().clean()
        _stop_after_start("stopped_at", self.started_at, self.stopped_at)


class Presence(Fact):
    """Who stood where beside the nozzle, for how long."""

    ONCE = {"to_recorded_at": ("to_at",)}

    shift = models.ForeignKey(Shift, on_delete=models.PROTECT, related_name="+")
    part = models.ForeignKey(
        ElementPart, on_delete=models.PROTECT, null=True, blank=True, related_name="+"
    )
    role = models.CharField(
        max_length=16, choices=[(r.value, r.value) for r in PresenceRole]
    )
    operator = models.ForeignKey(
        Operator, on_delete=models.PROTECT, null=True, blank=True, related_name="+"
    )
    crew_member = models.ForeignKey(
        CrewMember, on_delete=models.PROTECT, null=True, blank=True, related_name="+"
    )
    membership = models.ForeignKey(
        Membership, on_delete=models.PROTECT, null=True, blank=True, related_name="+"
    )
    from_at = models.DateTimeField()
    to_at = models.DateTimeField(null=True, blank=True)
    to_recorded_at = models.DateTimeField(null=True, blank=True)

    class Meta(Fact.Meta):
        ordering = ("from_at",)
        constraints = (
            *Fact.Meta.constraints,
            models.CheckConstraint(
                condition=(
                    Q(operator__isnull=False, crew_member=None, membership=None)
                    | Q(operator=None, crew_member__isnull=False, membership=None)
                    | Q(operator=None, crew_member=None, membership__isnull=False)
                ),
                name="crews_presence_one_person",
            ),
            models.CheckConstraint(
                condition=Q(to_at__isnull=True) | Q(to_at__gt=F("from_at")),
                name="crews_presence_to_after_from",
            ),
        )
        indexes = (models.Index(fields=("shift", "role"), name="presence_shift_role"),)

    def __str__(self) -> str:
        return f"{self.role} from {self.from_at}"

    def clean(self) -> None:
        super().clean()
        _stop_after_start("to_at", self.from_at, self.to_at)


class Eligibility(Act):
    """A conclusion frozen at the take, for the whole interval, or when asked."""

    ADDED = frozenset({"planned_id"})

    operator = models.ForeignKey(Operator, on_delete=models.PROTECT, related_name="+")
    part = models.ForeignKey(ElementPart, on_delete=models.PROTECT, related_name="+")
    mix_revision = models.ForeignKey(
        MixRevision, on_delete=models.PROTECT, related_name="+"
    )
    method = models.CharField(
        max_length=8, choices=[(m.value, m.value) for m in Method]
    )
    rig = models.ForeignKey(
        Rig, on_delete=models.PROTECT, null=True, blank=True, related_name="+"
    )
    moment = models.CharField(
        max_length=16, choices=[(m.value, m.value) for m in Moment]
    )
    nozzle_time = models.ForeignKey(
        NozzleTime, on_delete=models.PROTECT, null=True, blank=True, related_name="+"
    )
    as_of = models.DateTimeField()
    until = models.DateTimeField(null=True, blank=True)
    known_at = models.DateTimeField()
    state = models.CharField(max_length=16)
    # The verdict with every reason, and the versions it rested on.
    verdict = models.JSONField()
    evidence = models.JSONField()
    terms_number = models.PositiveSmallIntegerField(null=True, blank=True)
    # What the tablet showed, where one was used: {"state", "kit"}.
    shown = models.JSONField(null=True, blank=True)
    # The plan that was refused, where the moment is a plan's.
    planned = models.ForeignKey(
        PlannedPlacement,
        on_delete=models.PROTECT,
        null=True,
        blank=True,
        related_name="+",
    )

    class Meta:
        ordering = ("as_of", "recorded_at")
        indexes = (
            models.Index(
                fields=("job", "operator", "as_of"), name="eligibility_job_operator"
            ),
            models.Index(fields=("nozzle_time", "moment"), name="eligibility_moment"),
        )

    def __str__(self) -> str:
        return f"{self.operator} on {self.part}: {self.state}"


def _stop_after_start(field: str, start: object, stop: object) -> None:
    if start is None or stop is None or stop > start:  # type: ignore[operator]
        return
    message = _("Stop %(stop)s does not lie after start %(start)s; allowed is later.")
    error = ValidationError(message, params={"stop": stop, "start": start})
    raise ValidationError({field: error})
