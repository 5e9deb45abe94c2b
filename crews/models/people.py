"""Operators, their cards, and their place on the job."""

from __future__ import annotations

from django.core.exceptions import ValidationError
from django.db import models
from django.db.models import F, Q
from django.utils.translation import gettext_lazy as _

from crews.domain import activity, operator_file
from crews.domain.certification import Card
from crews.domain.schemes import SCHEMES
from crews.domain.trade_words import Level, Method
from project.domain.clocks import day_starts
from project.domain.shooting_words import Position, Process
from project.domain.verdict import Ref
from project.models import (
    Attachment,
    CompanyFact,
    Fact,
    Living,
    Organization,
    User,
)
from project.models.records import unique_fact


class Operator(Living):
    """A nozzle operator of a firm. Known by badge, never matched on a name alone."""

    organization = models.ForeignKey(
        Organization, on_delete=models.PROTECT, related_name="+"
    )
    legal_name = models.CharField(max_length=120)
    aliases = models.JSONField(default=list, blank=True)
    badge_number = models.CharField(max_length=40)

    class Meta:
        ordering = ("organization", "badge_number")
        constraints = (
            models.UniqueConstraint(
                fields=("organization", "badge_number"), name="crews_operator_badge"
            ),
        )

    def __str__(self) -> str:
        return self.legal_name

    def ref(self, code: str) -> Ref:
        """Name the operator as evidence, by the code of their place on a job."""
        return Ref("operator", str(self.pk), code)


class Certification(CompanyFact):
    """A card as it was read: what it covers and its printed last day."""

    operator = models.ForeignKey(Operator, on_delete=models.PROTECT, related_name="+")
    scheme = models.CharField(
        max_length=40, choices=[(key, s.name) for key, s in SCHEMES.items()]
    )
    number = models.CharField(max_length=60)
    method = models.CharField(
        max_length=8, choices=[(m.value, m.value) for m in Method]
    )
    level = models.CharField(max_length=16, choices=[(v.value, v.value) for v in Level])
    # [[process, position], …] as printed on the one card.
    classes = models.JSONField()
    issued_on = models.DateField()
    expires_on = models.DateField()
    verified_by = models.ForeignKey(
        User, on_delete=models.PROTECT, null=True, blank=True, related_name="+"
    )
    verified_on = models.DateField(null=True, blank=True)
    verified_how = models.CharField(max_length=160, blank=True, default="")
    scan = models.ForeignKey(
        Attachment, on_delete=models.PROTECT, null=True, blank=True, related_name="+"
    )

    FACTS = (
        *("scheme", "number", "method", "level", "classes"),
        *("issued_on", "expires_on", "verified_on", "verified_how"),
    )

    class Meta(CompanyFact.Meta):
        ordering = ("operator", "expires_on")
        constraints = (
            *CompanyFact.Meta.constraints,
            models.CheckConstraint(
                condition=Q(expires_on__gte=F("issued_on")),
                name="crews_card_expires_after_issue",
            ),
        )
        indexes = (
            models.Index(fields=("operator", "expires_on"), name="card_operator_ends"),
        )

    def __str__(self) -> str:
        return f"card {self.number}"

    def facts(self) -> Card:
        return Card(
            id=self.pk,
            recorded_at=self.recorded_at,
            supersedes=self.supersedes_id,
            withdrawn=self.withdrawn,
            scheme=self.scheme,
            number=self.number,
            method=Method(self.method),
            level=Level(self.level),
            classes=frozenset((Process(p), Position(q)) for p, q in self.classes),
            issued_on=self.issued_on,
            expires_on=self.expires_on,
            verified_on=self.verified_on,
            verified_how=self.verified_how,
        )

    def clean(self) -> None:
        super().clean()
        if self.issued_on and self.expires_on and self.expires_on < self.issued_on:
            message = _(
                "Expiry %(expires)s lies before issue %(issued)s; allowed is the day "
                "of issue or later."
            )
            params = {"expires": self.expires_on, "issued": self.issued_on}
            error = ValidationError(message, params=params)
            raise ValidationError({"expires_on": error})


class Experience(CompanyFact):
    """What an operator had shot before this record began, as somebody states it."""

    operator = models.ForeignKey(Operator, on_delete=models.PROTECT, related_name="+")
    process = models.CharField(
        max_length=8, choices=[(p.value, p.value) for p in Process]
    )
    method = models.CharField(
        max_length=8, choices=[(m.value, m.value) for m in Method], default=Method.HAND
    )
    hours = models.DecimalField(max_digits=8, decimal_places=2)
    last_shot_on = models.DateField(null=True, blank=True)
    stated_on = models.DateField()
    stated_by = models.CharField(max_length=120)
    attachment = models.ForeignKey(
        Attachment, on_delete=models.PROTECT, null=True, blank=True, related_name="+"
    )

    FACTS = ("process", "last_shot_on", "stated_on", "stated_by")

    class Meta(CompanyFact.Meta):
        ordering = ("operator", "process", "stated_on")
        constraints = (
            *CompanyFact.Meta.constraints,
            models.CheckConstraint(
                condition=Q(hours__gte=0), name="crews_experience_hours_not_negative"
            ),
            models.CheckConstraint(
                condition=Q(last_shot_on__isnull=True)
                | Q(last_shot_on__lte=F("stated_on")),
                name="crews_experience_shot_before_stated",
            ),
        )
        indexes = (
            models.Index(fields=("operator", "process"), name="experience_operator"),
        )

    def __str__(self) -> str:
        return f"{self.operator}, {self.process} {self.method}: {self.hours} h"

    def shot(self, zone: str) -> activity.Shot:
        """Return the last day shot, as stated; none stated takes an earlier one back."""
        last = self.last_shot_on
        return activity.Shot(
            id=self.pk,
            recorded_at=self.recorded_at,
            supersedes=self.supersedes_id,
            withdrawn=self.withdrawn or last is None,
            process=Process(self.process),
            begun=day_starts(last or self.stated_on, zone=zone),
            kind=self.kind,
            name=f"stated by {self.stated_by}",
        )


class HoursStatement(Fact):
    """Nozzle time of a stretch of days, verified by a named person."""

    operator = models.ForeignKey(Operator, on_delete=models.PROTECT, related_name="+")
    from_on = models.DateField()
    to_on = models.DateField()
    # [[process, position, method, level, minutes, [versions counted]], …] as counted
    # when it was verified; see crews.domain.hours_told.
    minutes = models.JSONField()
    verified_by = models.CharField(max_length=120)
    words = models.TextField(blank=True, default="")

    class Meta(Fact.Meta):
        ordering = ("operator", "from_on")
        constraints = (
            *Fact.Meta.constraints,
            models.CheckConstraint(
                condition=Q(to_on__gte=F("from_on")),
                name="crews_hours_from_before_to",
            ),
        )
        indexes = (models.Index(fields=("job", "operator"), name="hours_job_operator"),)

    def __str__(self) -> str:
        return f"hours of {self.operator}, {self.from_on} to {self.to_on}"


class Enrolment(Fact):
    """An operator's place on the job: under which firm, approved when, from when."""

    operator = models.ForeignKey(Operator, on_delete=models.PROTECT, related_name="+")
    code = models.CharField(max_length=12)
    employer = models.ForeignKey(
        Organization, on_delete=models.PROTECT, related_name="+"
    )
    submittal = models.CharField(max_length=40, blank=True, default="")
    approved_on = models.DateField(null=True, blank=True)
    approved_by = models.CharField(max_length=120, blank=True, default="")
    from_on = models.DateField()
    to_on = models.DateField(null=True, blank=True)

    class Meta(Fact.Meta):
        ordering = ("code",)
        constraints = (
            *Fact.Meta.constraints,
            unique_fact("job", "code", name="crews_enrolment_code"),
            models.CheckConstraint(
                condition=Q(to_on__isnull=True) | Q(to_on__gte=F("from_on")),
                name="crews_enrolment_from_before_to",
            ),
        )
        indexes = (
            models.Index(fields=("job", "operator"), name="enrolment_job_operator"),
        )

    def __str__(self) -> str:
        return self.code

    def facts(self) -> operator_file.Enrolment:
        """Return the place with its employer's name, which is read beside it."""
        return operator_file.Enrolment(
            id=self.pk,
            recorded_at=self.recorded_at,
            supersedes=self.supersedes_id,
            withdrawn=self.withdrawn,
            employer=self.employer.name,
            submittal=self.submittal,
            approved_on=self.approved_on,
            from_on=self.from_on,
            to_on=self.to_on,
        )


class Suspension(Fact):
    """An order that an operator shall not shoot, for a scope and a time."""

    operator = models.ForeignKey(Operator, on_delete=models.PROTECT, related_name="+")
    # {"process": …, "position": …}; an absent key means all.
    scope = models.JSONField(default=dict, blank=True)
    from_at = models.DateTimeField()
    until_at = models.DateTimeField(null=True, blank=True)
    ordered_by = models.CharField(max_length=120)
    words = models.TextField()

    FACTS = ("from_at", "until_at", "ordered_by", "words", "scope")

    class Meta(Fact.Meta):
        ordering = ("from_at",)
        constraints = (
            *Fact.Meta.constraints,
            models.CheckConstraint(
                condition=Q(until_at__isnull=True) | Q(until_at__gt=F("from_at")),
                name="crews_suspension_until_after_from",
            ),
        )
        indexes = (
            models.Index(fields=("job", "operator"), name="suspension_job_operator"),
        )

    def __str__(self) -> str:
        return f"suspension of {self.operator}"

    def facts(self) -> operator_file.Suspension:
        process, position = self.scope.get("process"), self.scope.get("position")
        return operator_file.Suspension(
            id=self.pk,
            recorded_at=self.recorded_at,
            supersedes=self.supersedes_id,
            withdrawn=self.withdrawn,
            from_at=self.from_at,
            until_at=self.until_at,
            ordered_by=self.ordered_by,
            words=self.words,
            process=Process(process) if process else None,
            position=Position(position) if position else None,
        )
