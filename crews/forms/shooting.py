"""Forms of a shift: opening it, placements, the nozzle, who stood beside it."""

from __future__ import annotations

from decimal import Decimal
from typing import Any

from django import forms
from django.utils.translation import gettext_lazy

from crews.domain.trade_words import Method, PresenceRole, ShiftName, VolumeBasis
from crews.forms.fields import OfferForm, PickField, WordField, measure
from project.forms.fields import LocalDateTimeField
from project.models import Job


class ShiftForm(OfferForm):
    """A contractor's shift; its work date is the local date on which it starts."""

    organization = PickField(label=gettext_lazy("Contractor"))
    name = WordField(ShiftName, label=gettext_lazy("Shift"))
    starts_at = LocalDateTimeField(
        label=gettext_lazy("Starts"),
        future=True,
        help_text=gettext_lazy("Its date on the job's clock is the work date."),
    )
    no_work_reason = forms.CharField(
        label=gettext_lazy("Why nothing is shot, if so"),
        max_length=160,
        required=False,
    )


class CloseShiftForm(OfferForm):
    """When a shift stopped."""

    stops_at = LocalDateTimeField(label=gettext_lazy("Stopped"))


class PlacementForm(OfferForm):
    """What is shot in a shift: part, mix, crew and rig."""

    ROWS = (
        ("part", "coat"),
        ("mix", "method"),
        ("crew", "rig"),
        ("extent", "area", "thickness"),
        ("repairs", "code"),
    )
    part = PickField(label=gettext_lazy("Part"))
    coat = PickField(
        label=gettext_lazy("Coat"),
        required=False,
        nothing=gettext_lazy("the whole part"),
    )
    mix = PickField(
        label=gettext_lazy("Mix"),
        required=False,
        nothing=gettext_lazy("as planned for the part"),
    )
    method = WordField(Method, label=gettext_lazy("Nozzle carried by"))
    crew = PickField(label=gettext_lazy("Crew"))
    rig = PickField(label=gettext_lazy("Rig"))
    extent = forms.CharField(
        label=gettext_lazy("Which piece, if not all of it"),
        max_length=120,
        required=False,
    )
    area = measure("area", gettext_lazy("Its area, if a piece"))
    thickness = measure("length", gettext_lazy("Its thickness, if another"))
    repairs = forms.CharField(
        label=gettext_lazy("Answers nonconformance report"),
        max_length=20,
        required=False,
    )
    code = forms.CharField(
        label=gettext_lazy("Code"),
        max_length=16,
        required=False,
        help_text=gettext_lazy("Empty: the next."),
    )


class WasteForm(OfferForm):
    """What of a placement's delivery is not in place; what is none is 0."""

    line_waste = measure(
        "volume", gettext_lazy("Left in pump, hose and bucket"), least=Decimal(0)
    )
    removed = measure(
        "volume", gettext_lazy("Bad work taken out while fresh"), least=Decimal(0)
    )
    cuttings = measure(
        "volume",
        gettext_lazy("Cut off by the finishers"),
        least=Decimal(0),
        help_text=gettext_lazy("Left empty it stays not known; none is 0."),
    )


class TakeForm(OfferForm):
    """Who takes the nozzle, and when."""

    operator = PickField(label=gettext_lazy("Operator"))
    at = LocalDateTimeField(label=gettext_lazy("Takes the nozzle at"))


class TakeLookForm(forms.Form):
    """The instant for which the hand-over is looked at: now, or when it happened."""

    at = LocalDateTimeField(label=gettext_lazy("Takes the nozzle at"), required=False)

    def __init__(self, *args: Any, job: Job, **kwargs: Any) -> None:
        super().__init__(*args, **kwargs)
        field = self.fields["at"]
        assert isinstance(field, LocalDateTimeField)  # noqa: S101 declared so above
        field.zone = job.zone


class LeaveForm(OfferForm):
    """When the nozzle was left, and what was shot where somebody knows it."""

    stopped_at = LocalDateTimeField(label=gettext_lazy("Left the nozzle at"))
    volume = measure(
        "volume",
        gettext_lazy("Volume, where it is known"),
        help_text=gettext_lazy("Left empty it is computed and marked estimated."),
    )
    volume_basis = WordField(
        VolumeBasis, label=gettext_lazy("How the volume is known"), required=False
    )


class PresenceForm(OfferForm):
    """Who stood where beside the nozzle."""

    ROWS = (("person", "role"), ("part",), ("from_at", "to_at"))
    person = PickField(label=gettext_lazy("Who"))
    role = WordField(PresenceRole, label=gettext_lazy("As"))
    part = PickField(label=gettext_lazy("At the part"), required=False)
    from_at = LocalDateTimeField(label=gettext_lazy("From"))
    to_at = LocalDateTimeField(label=gettext_lazy("To"), required=False)


class EndPresenceForm(OfferForm):
    """Until when somebody stood there."""

    to_at = LocalDateTimeField(label=gettext_lazy("To"))
