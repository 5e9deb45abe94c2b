"""Forms about crews and rigs."""

from __future__ import annotations

from django import forms
from django.utils.translation import gettext_lazy

from crews.domain.trade_words import RigKind, Trade
from crews.forms.fields import OfferForm, PickField, WordField, measure
from project.forms.fields import LocalDateTimeField


class CrewForm(OfferForm):
    """A crew of a firm."""

    organization = PickField(label=gettext_lazy("Firm"))
    code = forms.CharField(label=gettext_lazy("Crew"), max_length=12)


class CrewMemberForm(OfferForm):
    """A person of a crew who is not on the nozzle."""

    name = forms.CharField(label=gettext_lazy("Name"), max_length=120)
    trade = WordField(Trade, label=gettext_lazy("Trade"))


class RigForm(OfferForm):
    """What carries the concrete to the nozzle."""

    ROWS = (
        ("organization", "code"),
        ("kind", "machine"),
        ("compressor", "air_flow"),
        ("hose_diameter", "hose_length"),
    )
    organization = PickField(label=gettext_lazy("Firm"))
    code = forms.CharField(label=gettext_lazy("Rig"), max_length=20)
    kind = WordField(RigKind, label=gettext_lazy("Kind"))
    machine = forms.CharField(
        label=gettext_lazy("Pump or gun"), max_length=80, required=False
    )
    compressor = forms.CharField(
        label=gettext_lazy("Compressor"), max_length=80, required=False
    )
    air_flow = measure("flow", gettext_lazy("Rated air flow"))
    hose_diameter = measure("length", gettext_lazy("Hose, inside diameter"))
    hose_length = measure("long length", gettext_lazy("Hose, length"))


class EqualRigsForm(OfferForm):
    """The engineer's word that a mock-up on one rig covers another."""

    rig = PickField(label=gettext_lazy("Rig"))
    other = PickField(label=gettext_lazy("Equal to"))
    accepted_at = LocalDateTimeField(label=gettext_lazy("Accepted at"))
    words = forms.CharField(
        label=gettext_lazy("In words"),
        max_length=1000,
        required=False,
        widget=forms.Textarea(attrs={"rows": 3}),
    )
