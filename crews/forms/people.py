"""Forms about operators: who they are, their cards, their place, orders about them."""

from __future__ import annotations

from typing import Any

from django import forms
from django.utils.translation import gettext_lazy

from crews.domain.schemes import SCHEMES
from crews.domain.trade_words import Level, Method, WaivedGate
from crews.forms.fields import (
    LookForm,
    Offer,
    OfferForm,
    PaperField,
    PickField,
    WordField,
)
from crews.models import Certification
from project.domain.shooting_words import Position, Process
from project.forms.fields import LocalDateTimeField, PastDateField, PlainDateField
from project.models import Job


class MatrixForm(LookForm):
    """For which instant, mix, method and rig operators are judged."""

    mix = PickField(
        label=gettext_lazy("Mix"), required=False, nothing=gettext_lazy("as planned")
    )
    method = WordField(
        Method,
        label=gettext_lazy("Method"),
        required=False,
        empty=Method.HAND.value,
        leave_out=(Method.HAND,),
    )
    rig = PickField(
        label=gettext_lazy("Rig"), required=False, nothing=gettext_lazy("any")
    )

    def __init__(
        self, *args: Any, job: Job, mixes: Offer, rigs: Offer, **kwargs: Any
    ) -> None:
        super().__init__(*args, job=job, **kwargs)
        for name, rows in (("mix", mixes), ("rig", rigs)):
            field = self.fields[name]
            assert isinstance(field, PickField)  # noqa: S101 declared so above
            field.offer(rows)


class OperatorForm(OfferForm):
    """Who an operator is: known by the firm's badge, never matched on a name."""

    organization = PickField(label=gettext_lazy("Firm"))
    legal_name = forms.CharField(label=gettext_lazy("Legal name"), max_length=120)
    badge_number = forms.CharField(label=gettext_lazy("Badge number"), max_length=40)
    aliases = forms.CharField(
        label=gettext_lazy("Also written"),
        max_length=400,
        required=False,
        help_text=gettext_lazy("Other spellings on cards and tickets, with commas."),
    )

    def facts(self) -> dict[str, Any]:
        """Return the names and the badge."""
        facts = self.given("legal_name", "badge_number")
        return facts | {"aliases": self.cleaned_data["aliases"].split(",")}


class OperatorNamesForm(OperatorForm):
    """Corrected names or badge; the firm stays."""

    organization = None  # type: ignore[assignment]


_CLASSES = [
    (f"{process}/{position}", f"{process}, {position}")
    for process in Process
    for position in Position
    if position is not Position.UNCLASSIFIED
]


class CardForm(OfferForm):
    """A card as it is read from the card itself."""

    ROWS = (
        ("scheme", "number"),
        ("method", "level"),
        ("classes",),
        ("issued_on", "expires_on"),
        ("verified_by", "verified_on", "verified_how"),
        ("scan",),
        ("reason",),
    )
    scheme = forms.ChoiceField(
        label=gettext_lazy("Scheme"),
        choices=[(s.key, f"{s.key}: {s.name}") for s in SCHEMES.values()],
    )
    number = forms.CharField(label=gettext_lazy("Card number"), max_length=60)
    method = WordField(Method, label=gettext_lazy("Nozzle carried by"))
    level = WordField(Level, label=gettext_lazy("Level"))
    classes = forms.MultipleChoiceField(
        label=gettext_lazy("What is printed on this one card"),
        choices=_CLASSES,
        widget=forms.CheckboxSelectMultiple,
    )
    issued_on = PastDateField(label=gettext_lazy("Issued"))
    expires_on = PlainDateField(label=gettext_lazy("Last valid day, as printed"))
    verified_by = PickField(label=gettext_lazy("Verified by"), required=False)
    verified_on = PastDateField(label=gettext_lazy("Verified on"), required=False)
    verified_how = forms.CharField(
        label=gettext_lazy("Verified how"), max_length=160, required=False
    )
    scan = PaperField(label=gettext_lazy("Scan of the card"))

    def facts(self) -> dict[str, Any]:
        """Return what the card says and who verified it."""
        pairs = [pair.split("/") for pair in self.cleaned_data["classes"]]
        facts = self.given("scheme", "number", "method", "level")
        facts |= self.given("issued_on", "expires_on")
        facts |= self.given("verified_by", "verified_on", "verified_how")
        return facts | {"classes": [(Process(p), Position(q)) for p, q in pairs]}


class CorrectCardForm(CardForm):
    """The same card, read again: a new version with the reason."""

    scan = PaperField(
        label=gettext_lazy("Scan of the card"),
        help_text=gettext_lazy("A JPEG, PNG or PDF, 20 MB at most; none: as it was."),
    )
    reason = forms.CharField(label=gettext_lazy("Why it is corrected"), max_length=400)


def as_typed(card: Certification) -> dict[str, Any]:
    """Return a card as its form shows it."""
    names = ("scheme", "number", "method", "level", "issued_on", "expires_on")
    verified = ("verified_by", "verified_on", "verified_how")
    shown = {name: getattr(card, name) for name in (*names, *verified)}
    return shown | {"classes": ["/".join(pair) for pair in card.classes]}


class PlaceForm(OfferForm):
    """An operator's place on the job."""

    ROWS = (
        ("operator", "code"),
        ("employer", "submittal"),
        ("from_on", "to_on"),
        ("approved_on", "approved_by"),
        ("reason",),
    )
    operator = PickField(label=gettext_lazy("Operator"))
    code = forms.CharField(
        label=gettext_lazy("Code on this job"),
        max_length=12,
        required=False,
        help_text=gettext_lazy("OP- and a number; empty: the next one."),
    )
    employer = PickField(label=gettext_lazy("Employer"))
    from_on = PlainDateField(label=gettext_lazy("First day"))
    to_on = PlainDateField(label=gettext_lazy("Last day"), required=False)
    submittal = forms.CharField(
        label=gettext_lazy("Submittal"), max_length=40, required=False
    )
    approved_on = PastDateField(label=gettext_lazy("Approved on"), required=False)
    approved_by = forms.CharField(
        label=gettext_lazy("Approved by"), max_length=120, required=False
    )

    def facts(self) -> dict[str, Any]:
        """Return the place's facts, but for who and where."""
        facts = self.given("employer", "from_on", "to_on", "submittal")
        return facts | self.given("approved_on", "approved_by")


class CorrectPlaceForm(PlaceForm):
    """The same place: approved since, ended, or corrected."""

    operator = None  # type: ignore[assignment]
    code = None  # type: ignore[assignment]
    reason = forms.CharField(label=gettext_lazy("What changed"), max_length=400)


class ExperienceForm(OfferForm):
    """What an operator had shot before this record began."""

    ROWS = (
        ("process", "method"),
        ("hours", "last_shot_on"),
        ("stated_by", "stated_on"),
        ("attachment",),
        ("reason",),
    )
    process = WordField(Process, label=gettext_lazy("Process"))
    method = WordField(Method, label=gettext_lazy("Nozzle carried by"))
    hours = forms.DecimalField(
        label=gettext_lazy("Hours on the nozzle"),
        min_value=0,
        max_value=100_000,
        max_digits=8,
        decimal_places=2,
        localize=False,
        widget=forms.TextInput(attrs={"inputmode": "decimal"}),
    )
    last_shot_on = PastDateField(
        label=gettext_lazy("Last shot on"),
        required=False,
        help_text=gettext_lazy("By this process; idle time is counted from it."),
    )
    stated_by = forms.CharField(label=gettext_lazy("Who states it"), max_length=120)
    stated_on = PastDateField(label=gettext_lazy("Stated on"))
    attachment = PaperField(label=gettext_lazy("What states it, such as a letter"))

    def facts(self) -> dict[str, Any]:
        """Return what is stated, without the paper."""
        facts = self.given("process", "method", "hours", "last_shot_on")
        return facts | self.given("stated_by", "stated_on")


class CorrectExperienceForm(ExperienceForm):
    """The same statement, written down anew: a new version with the reason."""

    attachment = PaperField(
        label=gettext_lazy("What states it, such as a letter"),
        help_text=gettext_lazy("A JPEG, PNG or PDF, 20 MB at most; none: as it was."),
    )
    reason = forms.CharField(label=gettext_lazy("Why it is corrected"), max_length=400)


class WaiverForm(OfferForm):
    """The engineer's written word that one gate need not hold."""

    ROWS = (
        ("gate", "operator", "mock_up"),
        ("part", "mix", "rig"),
        ("from_at", "until_at"),
        ("words",),
    )
    gate = WordField(WaivedGate, label=gettext_lazy("What is waived"))
    operator = PickField(
        label=gettext_lazy("For the operator"),
        required=False,
        nothing=gettext_lazy("every operator"),
    )
    mock_up = PickField(
        label=gettext_lazy("Mock-up taken as equivalent"),
        required=False,
        nothing=gettext_lazy("none"),
    )
    part = PickField(
        label=gettext_lazy("For the part"),
        required=False,
        nothing=gettext_lazy("every part"),
    )
    mix = PickField(
        label=gettext_lazy("With the mix"),
        required=False,
        nothing=gettext_lazy("every mix"),
    )
    rig = PickField(
        label=gettext_lazy("With the rig"),
        required=False,
        nothing=gettext_lazy("every rig"),
    )
    from_at = LocalDateTimeField(label=gettext_lazy("From"), future=True)
    until_at = LocalDateTimeField(label=gettext_lazy("Until"), future=True)
    words = forms.CharField(
        label=gettext_lazy("In the engineer's words"),
        max_length=1000,
        widget=forms.Textarea(attrs={"rows": 3}),
        help_text=gettext_lazy("A card, a level and a suspension are never waived."),
    )


class SuspendForm(OfferForm):
    """An order that an operator shall not shoot."""

    ROWS = (
        ("from_at", "until_at"),
        ("process", "position"),
        ("ordered_by",),
        ("words",),
    )
    from_at = LocalDateTimeField(label=gettext_lazy("From"), future=True)
    until_at = LocalDateTimeField(
        label=gettext_lazy("Until"), future=True, required=False
    )
    ordered_by = forms.CharField(label=gettext_lazy("Ordered by"), max_length=120)
    process = WordField(
        Process,
        label=gettext_lazy("Process"),
        required=False,
        empty=gettext_lazy("all"),
    )
    position = WordField(
        Position,
        label=gettext_lazy("Position"),
        required=False,
        empty=gettext_lazy("all"),
        leave_out=(Position.UNCLASSIFIED,),
    )
    words = forms.CharField(
        label=gettext_lazy("Why, in words"),
        max_length=1000,
        widget=forms.Textarea(attrs={"rows": 3}),
    )


class EndSuspensionForm(OfferForm):
    """Until when an order stands."""

    until_at = LocalDateTimeField(label=gettext_lazy("It stands until"), future=True)
    reason = forms.CharField(label=gettext_lazy("Why"), max_length=400)
