"""The job: its terms, its elements and parts, its mix revisions."""

from __future__ import annotations

from datetime import date, datetime
from typing import Any
from zoneinfo import ZoneInfo, available_timezones

from django.core.exceptions import ValidationError
from django.db import models
from django.db.models import F, Q
from django.utils.functional import cached_property
from django.utils.translation import gettext_lazy as _

from project.domain.editions import from_plain, to_plain
from project.domain.shooting_words import Position, Process
from project.domain.terms import Terms
from project.models.accounts import Organization
from project.models.records import (
    Fact,
    Living,
    MeasureField,
    UnitField,
    unique_fact,
    with_unit,
)


class UnitSystem(models.TextChoices):
    US = "US", _("US customary")
    SI = "SI", _("SI")


class Paper(models.TextChoices):
    LETTER = "Letter", _("Letter")
    A4 = "A4", _("A4")


class Weekday(models.IntegerChoices):
    MONDAY = 0, _("Monday")
    TUESDAY = 1, _("Tuesday")
    WEDNESDAY = 2, _("Wednesday")
    THURSDAY = 3, _("Thursday")
    FRIDAY = 4, _("Friday")
    SATURDAY = 5, _("Saturday")
    SUNDAY = 6, _("Sunday")


class Job(Living):
    """One contract on one site."""

    code = models.CharField(max_length=20, unique=True)
    name = models.CharField(max_length=160)
    contract_number = models.CharField(max_length=40)
    owner = models.ForeignKey(Organization, on_delete=models.PROTECT, related_name="+")
    zone = models.CharField(max_length=40)
    unit_system = models.CharField(max_length=2, choices=UnitSystem)
    week_starts_on = models.PositiveSmallIntegerField(choices=Weekday)
    paper = models.CharField(max_length=8, choices=Paper)
    language = models.CharField(max_length=8, default="en")
    # [["2026-09-07", "public holiday"], …]; Saturday and Sunday need no line.
    non_working_days = models.JSONField(default=list, blank=True)
    address = models.CharField(max_length=200, blank=True, default="")

    class Meta:
        ordering = ("code",)

    def __str__(self) -> str:
        return f"{self.code} {self.name}"

    def clean(self) -> None:
        super().clean()
        if self.zone not in available_timezones():
            message = _(
                "Zone %(zone)s is not known; allowed are names such as %(some)s."
            )
            params = {"zone": self.zone, "some": "America/Denver"}
            raise ValidationError({"zone": ValidationError(message, params=params)})

    @property
    def stream(self) -> str:
        return f"job:{self.id}"

    def local(self, instant: datetime) -> datetime:
        """Return an instant on the job's clock."""
        return instant.astimezone(ZoneInfo(self.zone))

    def days_off(self) -> dict[date, str]:
        """Return the non-working days beside the weekends, with their names."""
        return {date.fromisoformat(day): name for day, name in self.non_working_days}


class TermsRevision(Fact):
    """The contract's terms from a date on, resolved in full.

    `values` is name -> {value, unit, source, departure, reason}; see
    `project.domain.editions`.
    """

    number = models.PositiveSmallIntegerField()
    edition = models.CharField(max_length=40)
    effective_on = models.DateField()
    values = models.JSONField()

    class Meta(Fact.Meta):
        ordering = ("number",)
        constraints = (
            *Fact.Meta.constraints,
            unique_fact("job", "number", name="project_terms_number"),
        )

    def __str__(self) -> str:
        return f"terms revision {self.number}"

    @staticmethod
    def values_of(terms: Terms) -> dict[str, Any]:
        """Return the terms' values as this table keeps them."""
        return to_plain(terms.values)

    def facts(self) -> Terms:
        """Return the terms as the rules read them."""
        return self._facts

    @cached_property
    def _facts(self) -> Terms:
        """Read once from a row: it holds two hundred terms, and never changes."""
        return Terms(
            revision=self.number,
            edition=self.edition,
            effective_on=self.effective_on,
            values=from_plain(self.values),
        )


class Element(Living):
    """What the drawings name: a wall bay, a soffit, a crown."""

    job = models.ForeignKey(Job, on_delete=models.PROTECT, related_name="+")
    code = models.CharField(max_length=40)
    name = models.CharField(max_length=120)
    drawing = models.CharField(max_length=60, blank=True, default="")
    order = models.PositiveSmallIntegerField(default=0)

    class Meta:
        ordering = ("order", "code")
        constraints = (
            models.UniqueConstraint(
                fields=("job", "code"), name="project_element_code"
            ),
        )

    def __str__(self) -> str:
        return self.code


class ElementPart(Living):
    """The smallest piece with one position that is released as one."""

    job = models.ForeignKey(Job, on_delete=models.PROTECT, related_name="+")
    element = models.ForeignKey(Element, on_delete=models.PROTECT, related_name="parts")
    code = models.CharField(max_length=40)
    order = models.PositiveSmallIntegerField(default=0)

    class Meta:
        ordering = ("element__order", "order", "code")
        constraints = (
            models.UniqueConstraint(fields=("job", "code"), name="project_part_code"),
        )

    def __str__(self) -> str:
        return self.code


class PartRevision(Fact):
    """What the drawings ask of a part, as known at a time."""

    part = models.ForeignKey(
        ElementPart, on_delete=models.PROTECT, related_name="revisions"
    )
    name = models.CharField(max_length=120)
    position = models.CharField(
        max_length=16,
        choices=[(p.value, p.value) for p in Position],
        default=Position.UNCLASSIFIED,
    )
    angle_deg = models.DecimalField(
        max_digits=5, decimal_places=2, null=True, blank=True
    )
    area = MeasureField()
    area_unit = UnitField("area")
    thickness = MeasureField()
    thickness_unit = UnitField("length")
    face_length = MeasureField()
    face_height = MeasureField()
    face_unit = UnitField("length")
    unrolled = models.BooleanField(default=False)
    origin_station = MeasureField()
    origin_elevation = MeasureField()
    origin_unit = UnitField("length")
    grid = models.CharField(max_length=40, blank=True, default="")
    drawing = models.CharField(max_length=60, blank=True, default="")
    detail = models.CharField(max_length=60, blank=True, default="")
    drawing_revision = models.CharField(max_length=20, blank=True, default="")
    # {"mats": […], "splice": {…}}; read by project.domain.reinforcement.
    reinforcement = models.JSONField(default=dict, blank=True)
    cover = MeasureField()
    cover_unit = UnitField("length")
    finish = models.CharField(max_length=80, blank=True, default="")
    # [{"what", "low", "high", "unit"}, …]; an absent line reads "not given".
    tolerances = models.JSONField(default=list, blank=True)
    # What the part holds beside bars (embeds, form at the back, …): catalogue features.
    features = models.JSONField(default=list, blank=True)
    mix_code = models.CharField(max_length=20, blank=True, default="")
    mockup_class = models.CharField(max_length=12, blank=True, default="")
    mockup_by_contract = models.BooleanField(default=False)
    trainee_allowed = models.BooleanField(default=False)
    after_part = models.ForeignKey(
        ElementPart, on_delete=models.PROTECT, null=True, blank=True, related_name="+"
    )
    after_condition = models.CharField(max_length=160, blank=True, default="")
    cover_up_on = models.DateField(null=True, blank=True)
    cover_up_what = models.CharField(max_length=80, blank=True, default="")

    FACTS = (
        *("part__code", "position", "angle_deg", "reinforcement"),
        *("thickness", "thickness_unit", "trainee_allowed"),
        *("mockup_class", "mockup_by_contract", "mix_code"),
    )

    class Meta(Fact.Meta):
        ordering = ("part", "recorded_at")
        constraints = (
            *Fact.Meta.constraints,
            unique_fact("part", name="project_partrevision_one_chain"),
            with_unit("area"),
            with_unit("thickness"),
            with_unit("face", "face_length", "face_height"),
            with_unit("origin", "origin_station", "origin_elevation"),
            with_unit("cover"),
        )

    def __str__(self) -> str:
        return f"{self.part}: {self.name}"


class Coat(Fact):
    """One coat of a part, in order from the back: its own mix, or the part's."""

    part = models.ForeignKey(ElementPart, on_delete=models.PROTECT, related_name="+")
    order = models.PositiveSmallIntegerField(default=1)
    mix_code = models.CharField(max_length=20)
    thickness = MeasureField()
    thickness_unit = UnitField("length")
    finish = models.CharField(max_length=80, blank=True, default="")
    owes_panels = models.BooleanField(default=True)
    bond_preparation = models.CharField(max_length=160, blank=True, default="")

    class Meta(Fact.Meta):
        ordering = ("part", "order")
        constraints = (
            *Fact.Meta.constraints,
            unique_fact("part", "order", name="project_coat_order"),
            with_unit("thickness"),
        )

    def __str__(self) -> str:
        return f"coat {self.order}, {self.mix_code}"


class MixRevision(Fact):
    """One revision of a mix design, its limits, and when it was approved."""

    code = models.CharField(max_length=20)
    revision = models.PositiveSmallIntegerField()
    process = models.CharField(
        max_length=8, choices=[(p.value, p.value) for p in Process]
    )
    description = models.CharField(max_length=200, blank=True, default="")
    supplier = models.ForeignKey(
        Organization, on_delete=models.PROTECT, null=True, blank=True, related_name="+"
    )
    f_c = MeasureField(null=False, blank=False)
    f_c_unit = UnitField("pressure", blank=False)
    test_age_days = models.PositiveSmallIntegerField(default=28)
    aggregate = MeasureField()
    aggregate_unit = UnitField("length")
    slump_low = MeasureField()
    slump_high = MeasureField()
    slump_unit = UnitField("length")
    air_low = MeasureField()
    air_high = MeasureField()
    air_unit = UnitField("share")
    unit_weight_low = MeasureField()
    unit_weight_high = MeasureField()
    unit_weight_unit = UnitField("density")
    temperature_low = MeasureField()
    temperature_high = MeasureField()
    temperature_unit = UnitField("temperature")
    load_age_limit = MeasureField()
    load_age_limit_unit = UnitField("time")
    evaporation_limit = MeasureField()
    evaporation_limit_unit = UnitField("evaporation")
    accelerator_low = MeasureField()
    accelerator_high = MeasureField()
    accelerator_unit = UnitField("share")
    silica_fume = models.BooleanField(default=False)
    fibre = models.CharField(max_length=80, blank=True, default="")
    bag_mass = MeasureField()
    bag_mass_unit = UnitField("mass")
    bag_yield = MeasureField()
    bag_yield_unit = UnitField("volume")
    submitted_on = models.DateField(null=True, blank=True)
    approved_on = models.DateField(null=True, blank=True)
    approved_by = models.CharField(max_length=120, blank=True, default="")
    answer = models.CharField(max_length=160, blank=True, default="")
    # The engineer's mark against the revision before: only "yes" reopens mock-ups.
    placing_properties_changed = models.BooleanField(null=True, blank=True)
    withdrawn_on = models.DateField(null=True, blank=True)

    FACTS = (
        *("first", "code", "revision", "process", "approved_on", "withdrawn_on"),
        *("aggregate", "aggregate_unit", "placing_properties_changed"),
    )

    class Meta(Fact.Meta):
        ordering = ("code", "revision")
        constraints = (
            *Fact.Meta.constraints,
            unique_fact("job", "code", "revision", name="project_mix_revision"),
            with_unit("f_c"),
            with_unit("aggregate"),
            with_unit("slump", "slump_low", "slump_high"),
            with_unit("air", "air_low", "air_high"),
            with_unit("unit_weight", "unit_weight_low", "unit_weight_high"),
            with_unit("temperature", "temperature_low", "temperature_high"),
            with_unit("load_age_limit"),
            with_unit("evaporation_limit"),
            with_unit("accelerator", "accelerator_low", "accelerator_high"),
            with_unit("bag_mass"),
            with_unit("bag_yield"),
            models.CheckConstraint(
                condition=Q(withdrawn_on__isnull=True)
                | Q(approved_on__isnull=True)
                | Q(withdrawn_on__gte=F("approved_on")),
                name="project_mix_withdrawn_after_approved",
            ),
        )

    def __str__(self) -> str:
        return f"{self.code} rev {self.revision}"
