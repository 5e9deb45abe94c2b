"""The daily field report and what is seen: rounds, readings, weather, loads."""

from __future__ import annotations

from django.core.exceptions import ValidationError
from django.db import models
from django.db.models import F, Q
from django.utils.translation import gettext as _

from crews.models import Placement, Shift
from inspections.domain.observed import FreshTestKind, LoadKind, RemarkKind
from project.models import (
    Act,
    Attachment,
    ElementPart,
    Fact,
    MixRevision,
    Organization,
    Signature,
)
from project.models.records import MeasureField, UnitField, unique_fact, with_unit


class DailyReport(Fact):
    """One firm's sheet for one shift, numbered without gaps."""

    ONCE = {"voided_recorded_at": ("voided_at", "voided_reason")}

    organization = models.ForeignKey(
        Organization, on_delete=models.PROTECT, related_name="+"
    )
    shift = models.ForeignKey(Shift, on_delete=models.PROTECT, related_name="+")
    inspector = models.ForeignKey(
        "project.Membership", on_delete=models.PROTECT, related_name="+"
    )
    number = models.PositiveIntegerField()
    voided_at = models.DateTimeField(null=True, blank=True)
    voided_reason = models.CharField(max_length=200, blank=True, default="")
    voided_recorded_at = models.DateTimeField(null=True, blank=True)

    class Meta(Fact.Meta):
        ordering = ("number",)
        constraints = (
            *Fact.Meta.constraints,
            unique_fact("job", "number", name="inspections_sheet_number"),
            # A sheet voided in error leaves room for the right one.
            models.UniqueConstraint(
                fields=("shift", "inspector"),
                condition=Q(supersedes__isnull=True, voided_at__isnull=True),
                name="inspections_sheet_shift_inspector",
            ),
        )

    def __str__(self) -> str:
        return self.code

    @property
    def code(self) -> str:
        return f"DFR-{self.number:03d}"


class ReportVersion(Act):
    """The sheet as it was signed: its content, frozen, with its hash."""

    report = models.ForeignKey(
        DailyReport, on_delete=models.PROTECT, related_name="versions"
    )
    n = models.PositiveSmallIntegerField()
    content = models.JSONField()
    sha256 = models.CharField(max_length=64)
    signature = models.ForeignKey(Signature, on_delete=models.PROTECT, related_name="+")
    conforming = models.BooleanField()
    reason = models.TextField(blank=True, default="")

    class Meta:
        ordering = ("report", "n")
        constraints = (
            models.UniqueConstraint(
                fields=("report", "n"), name="inspections_report_version"
            ),
            models.CheckConstraint(
                condition=Q(n=1) | ~Q(reason=""),
                name="inspections_amendment_has_reason",
            ),
        )

    def __str__(self) -> str:
        return f"{self.report} version {self.n}"


class Round(Fact):
    """One walk: part, time, person, catalogue edition, answers."""

    report = models.ForeignKey(
        DailyReport, on_delete=models.PROTECT, null=True, blank=True, related_name="+"
    )
    placement = models.ForeignKey(
        Placement, on_delete=models.PROTECT, null=True, blank=True, related_name="+"
    )
    part = models.ForeignKey(
        ElementPart, on_delete=models.PROTECT, null=True, blank=True, related_name="+"
    )
    # One walk may serve several of the catalogue's eight kinds.
    round_kinds = models.JSONField()
    at = models.DateTimeField()
    edition = models.CharField(max_length=20)
    language = models.CharField(max_length=8, default="en")
    # [{"item", "answer", "grouped", "value", "cause", "correction", "note"}, …]
    answers = models.JSONField()

    class Meta(Fact.Meta):
        ordering = ("at",)
        indexes = (models.Index(fields=("part", "at"), name="round_part_at"),)

    def __str__(self) -> str:
        return f"round at {self.at:%H:%M}"


class Reading(Fact):
    """One measurement at a place: thickness, temperature of a surface, pressure."""

    report = models.ForeignKey(
        DailyReport, on_delete=models.PROTECT, null=True, blank=True, related_name="+"
    )
    placement = models.ForeignKey(
        Placement, on_delete=models.PROTECT, null=True, blank=True, related_name="+"
    )
    part = models.ForeignKey(
        ElementPart, on_delete=models.PROTECT, null=True, blank=True, related_name="+"
    )
    reading_kind = models.CharField(max_length=24)
    value = MeasureField(null=False, blank=False)
    value_unit = UnitField(blank=False)
    at = models.DateTimeField()
    place = models.CharField(max_length=40, blank=True, default="")
    means = models.CharField(max_length=60, blank=True, default="")

    class Meta(Fact.Meta):
        ordering = ("at", "place")
        indexes = (
            models.Index(
                fields=("part", "reading_kind", "at"), name="reading_part_kind"
            ),
        )

    def __str__(self) -> str:
        # The trail shows this outside the firm: what a draft says stays in the draft.
        return f"{self.reading_kind} reading"


class Weather(Fact):
    """The weather at a time; what was not read stays empty."""

    report = models.ForeignKey(DailyReport, on_delete=models.PROTECT, related_name="+")
    at = models.DateTimeField()
    air = MeasureField()
    concrete = MeasureField()
    temperature_unit = UnitField("temperature")
    humidity = MeasureField()
    humidity_unit = UnitField("share")
    wind = MeasureField()
    wind_unit = UnitField("speed")
    sky = models.CharField(max_length=40, blank=True, default="")
    means = models.CharField(max_length=80, blank=True, default="")

    class Meta(Fact.Meta):
        ordering = ("at",)
        constraints = (
            *Fact.Meta.constraints,
            with_unit("temperature", "air", "concrete"),
            with_unit("humidity"),
            with_unit("wind"),
            models.CheckConstraint(
                condition=Q(humidity__isnull=True)
                | (Q(humidity__gte=0) & Q(humidity__lte=100)),
                name="inspections_weather_humidity_range",
            ),
        )

    def __str__(self) -> str:
        return f"weather at {self.at:%H:%M}"

    def clean(self) -> None:
        super().clean()
        most = 1 if self.humidity_unit == "1" else 100
        if self.humidity is not None and not 0 <= self.humidity <= most:
            message = _("%(given)s %(unit)s; allowed is 0 to %(most)s.")
            _refuse(
                "humidity",
                message,
                given=self.humidity,
                unit=self.humidity_unit,
                most=most,
            )


class Load(Fact):
    """One truck or bag as it came. Contradictions are kept, and flagged."""

    ONCE = {
        "last_shot_recorded_at": ("last_shot_at",),
        "returned_recorded_at": ("returned",),
    }

    report = models.ForeignKey(
        DailyReport, on_delete=models.PROTECT, null=True, blank=True, related_name="+"
    )
    shift = models.ForeignKey(Shift, on_delete=models.PROTECT, related_name="+")
    placement = models.ForeignKey(
        Placement, on_delete=models.PROTECT, null=True, blank=True, related_name="+"
    )
    order = models.PositiveSmallIntegerField()
    load_kind = models.CharField(
        max_length=8, choices=[(k.value, k.value) for k in LoadKind]
    )
    supplier = models.ForeignKey(
        Organization, on_delete=models.PROTECT, null=True, blank=True, related_name="+"
    )
    truck = models.CharField(max_length=20, blank=True, default="")
    ticket = models.CharField(max_length=40, blank=True, default="")
    lot = models.CharField(max_length=40, blank=True, default="")
    mix_revision = models.ForeignKey(
        MixRevision, on_delete=models.PROTECT, null=True, blank=True, related_name="+"
    )
    mix_as_printed = models.CharField(max_length=40, blank=True, default="")
    volume = MeasureField(null=False, blank=False)
    returned = MeasureField()
    volume_unit = UnitField("volume", blank=False)
    batched_at = models.DateTimeField(null=True, blank=True)
    arrived_at = models.DateTimeField(null=True, blank=True)
    first_shot_at = models.DateTimeField(null=True, blank=True)
    last_shot_at = models.DateTimeField(null=True, blank=True)
    last_shot_recorded_at = models.DateTimeField(null=True, blank=True)
    returned_recorded_at = models.DateTimeField(null=True, blank=True)
    water_added = MeasureField()
    water_added_unit = UnitField("volume")
    accepted = models.BooleanField(default=True)
    refused_because = models.CharField(max_length=200, blank=True, default="")

    class Meta(Fact.Meta):
        ordering = ("shift", "order")
        constraints = (
            *Fact.Meta.constraints,
            models.CheckConstraint(
                condition=Q(accepted=True) | ~Q(refused_because=""),
                name="inspections_refused_load_has_reason",
            ),
            models.CheckConstraint(
                condition=Q(volume__gt=0), name="inspections_load_volume_positive"
            ),
            models.CheckConstraint(
                condition=Q(returned__isnull=True)
                | (Q(returned__gte=0) & Q(returned__lte=F("volume"))),
                name="inspections_load_returned_within",
            ),
            with_unit("water_added"),
        )
        indexes = (models.Index(fields=("job", "ticket"), name="load_job_ticket"),)

    def __str__(self) -> str:
        return f"load {self.ticket or self.lot or self.order}"

    def clean(self) -> None:
        super().clean()
        if self.volume is None:
            return
        if self.volume <= 0:
            message = _("%(given)s; allowed is more than 0.")
            _refuse("volume", message, given=self.volume)
        if self.returned is not None and not 0 <= self.returned <= self.volume:
            message = _("%(given)s went back; allowed is 0 to the load's %(volume)s.")
            _refuse("returned", message, given=self.returned, volume=self.volume)
        if not self.accepted and not self.refused_because.strip():
            _refuse("refused_because", _("A load sent back needs its reason."))


class FreshTest(Fact):
    """One test of a load's fresh concrete; a retest is a second row."""

    load = models.ForeignKey(Load, on_delete=models.PROTECT, related_name="+")
    at = models.DateTimeField()
    test_kind = models.CharField(
        max_length=16, choices=[(k.value, k.value) for k in FreshTestKind]
    )
    value = MeasureField(null=False, blank=False)
    value_unit = UnitField(blank=False)
    retest = models.BooleanField(default=False)

    class Meta(Fact.Meta):
        ordering = ("at", "test_kind")

    def __str__(self) -> str:
        return f"{self.test_kind} {self.value:f} {self.value_unit}"


class Remark(Fact):
    """A sentence on the sheet: an instruction, a visitor, no work, a note."""

    report = models.ForeignKey(DailyReport, on_delete=models.PROTECT, related_name="+")
    remark_kind = models.CharField(
        max_length=16, choices=[(k.value, k.value) for k in RemarkKind]
    )
    words = models.TextField()
    at = models.DateTimeField()

    class Meta(Fact.Meta):
        ordering = ("at",)

    def __str__(self) -> str:
        return f"{self.remark_kind} at {self.at:%H:%M}"


class Photo(Fact):
    """A photograph on the job, numbered, with what it belongs to."""

    attachment = models.ForeignKey(
        Attachment, on_delete=models.PROTECT, related_name="+"
    )
    number = models.PositiveIntegerField()
    organization = models.ForeignKey(
        Organization, on_delete=models.PROTECT, related_name="+"
    )
    report = models.ForeignKey(
        DailyReport, on_delete=models.PROTECT, null=True, blank=True, related_name="+"
    )
    part = models.ForeignKey(
        ElementPart, on_delete=models.PROTECT, null=True, blank=True, related_name="+"
    )
    placement = models.ForeignKey(
        Placement, on_delete=models.PROTECT, null=True, blank=True, related_name="+"
    )
    round = models.ForeignKey(
        Round, on_delete=models.PROTECT, null=True, blank=True, related_name="+"
    )
    item = models.CharField(max_length=60, blank=True, default="")
    deficiency = models.ForeignKey(
        "inspections.Deficiency",
        on_delete=models.PROTECT,
        null=True,
        blank=True,
        related_name="+",
    )
    # A record of a lower room the picture shows (a panel, a core), named as text.
    shows = models.CharField(max_length=60, blank=True, default="")
    at = models.DateTimeField()
    place = models.CharField(max_length=40, blank=True, default="")
    caption = models.CharField(max_length=240, blank=True, default="")

    class Meta(Fact.Meta):
        ordering = ("number",)
        constraints = (
            *Fact.Meta.constraints,
            unique_fact("job", "number", name="inspections_photo_number"),
        )

    def __str__(self) -> str:
        return self.code

    @property
    def code(self) -> str:
        return f"PH-{self.number:03d}"


def _refuse(field: str, message: str, **params: object) -> None:
    raise ValidationError({field: ValidationError(message, params=params)})
