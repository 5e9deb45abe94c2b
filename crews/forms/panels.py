"""Forms about panels: shooting one, judging one, accepting cores in place of one."""

from __future__ import annotations

from typing import Any

from django import forms
from django.core.exceptions import ValidationError
from django.utils.translation import gettext as _
from django.utils.translation import gettext_lazy

from crews.domain.trade_words import DecisionOutcome, Method, PanelKind
from crews.forms.fields import OfferForm, PickField, WordField, measure
from project.domain.bars import BAR_DIAMETERS
from project.domain.reinforcement import (
    BarWay,
    Curtain,
    Mat,
    Reinforcement,
    Splice,
    SpliceKind,
)
from project.domain.shooting_words import Position
from project.forms.fields import LocalDateTimeField, PasswordField
from project.models import Job

_SIDES = ("length", "width", "depth")
_BARS = ("bars_of", "curtains", "bar", "spacing", "splice", "splice_clear")
_ALWAYS = (
    "id", "mix", "position", "method", "shot_from", "shot_to",
    "laboratory", "witness", "witness_words", "code",
)  # fmt: skip
# What is asked of each kind, beside what is asked of all.
_ASKED = {
    PanelKind.PRODUCTION: (
        "placement", "operator", "shared_with", "rig", "shift", "part", *_SIDES,
    ),
    PanelKind.MOCK_UP: (
        "operator", "supervisor", "rig", "mockup_class", "thickness", *_BARS, *_SIDES,
    ),
    PanelKind.FINISH_SAMPLE: ("operator", "rig", "part", *_SIDES),
    PanelKind.PRECONSTRUCTION_MATERIAL: ("operator", "rig", *_SIDES),
    PanelKind.IN_PLACE: ("placement", "operator", "stands_for", "part"),
}  # fmt: skip
_MUST = {
    PanelKind.PRODUCTION: ("operator",),
    PanelKind.MOCK_UP: ("operator", "thickness"),
}

_ITS_OWN = gettext_lazy("the placement's, if any")


class PanelForm(OfferForm):
    """A panel as it was shot, or cores from the work; one form for each kind."""

    ROWS = (
        ("placement", "stands_for"),
        ("operator", "shared_with", "supervisor"),
        ("mix", "position"),
        ("method", "rig"),
        ("shift", "part"),
        ("shot_from", "shot_to"),
        ("length", "width", "depth"),
        ("mockup_class", "thickness"),
        ("bars_of", "curtains"),
        ("bar", "spacing"),
        ("splice", "splice_clear"),
        ("laboratory", "code"),
        ("witness", "witness_words"),
    )
    placement = PickField(label=gettext_lazy("Shot with the placement"), required=False)
    operator = PickField(label=gettext_lazy("Operator"), required=False)
    shared_with = PickField(
        label=gettext_lazy("Shared with"),
        required=False,
        help_text=gettext_lazy("A panel that two shot proves the mix only."),
    )
    supervisor = PickField(label=gettext_lazy("Supervised by"), required=False)
    mix = PickField(label=gettext_lazy("Mix"))
    position = WordField(Position, label=gettext_lazy("Position"))
    method = WordField(Method, label=gettext_lazy("Nozzle carried by"))
    rig = PickField(label=gettext_lazy("Rig"), required=False, nothing=_ITS_OWN)
    shift = PickField(label=gettext_lazy("Shift"), required=False, nothing=_ITS_OWN)
    part = PickField(label=gettext_lazy("Part"), required=False, nothing=_ITS_OWN)
    stands_for = PickField(
        label=gettext_lazy("Stands for the missing panel of"), required=False
    )
    shot_from = LocalDateTimeField(label=gettext_lazy("Shot from"))
    shot_to = LocalDateTimeField(label=gettext_lazy("Shot to"), required=False)
    length = measure("length", gettext_lazy("Length"))
    width = measure("length", gettext_lazy("Width"))
    depth = measure("length", gettext_lazy("Depth"))
    mockup_class = forms.CharField(
        label=gettext_lazy("Mock-up class"), max_length=12, required=False
    )
    thickness = measure("length", gettext_lazy("Thickness of the work it shows"))
    bars_of = PickField(
        label=gettext_lazy("Bars as drawn for the part"),
        required=False,
    )
    curtains = forms.TypedChoiceField(
        label=gettext_lazy("Or typed: curtains of bars"),
        choices=[
            ("", gettext_lazy("not given")),
            ("0", gettext_lazy("no bars")),
            ("1", "1"),
            ("2", "2"),
        ],
        coerce=int,
        empty_value=None,
        required=False,
    )
    bar = forms.ChoiceField(
        label=gettext_lazy("Bar, both ways"),
        choices=[("", gettext_lazy("not given"))] + [(b, b) for b in BAR_DIAMETERS],
        required=False,
    )
    spacing = measure("length", gettext_lazy("Centre spacing, both ways"))
    splice = WordField(
        SpliceKind,
        label=gettext_lazy("Splices"),
        required=False,
        empty=gettext_lazy("not given"),
    )
    splice_clear = measure("length", gettext_lazy("Clear gap of the laps"))
    laboratory = PickField(label=gettext_lazy("Laboratory"), required=False)
    witness = PickField(label=gettext_lazy("Witnessed by"), required=False)
    witness_words = forms.CharField(
        label=gettext_lazy("What the witness saw"), max_length=200, required=False
    )
    code = forms.CharField(
        label=gettext_lazy("Code"),
        max_length=16,
        required=False,
        help_text=gettext_lazy("Empty: the next of this kind."),
    )

    def __init__(
        self, *args: Any, job: Job, panel_kind: PanelKind, **kwargs: Any
    ) -> None:
        super().__init__(*args, job=job, **kwargs)
        self.panel_kind = panel_kind
        asked = {*_ALWAYS, *_ASKED[panel_kind]}
        for name in list(self.fields):
            if name not in asked:
                del self.fields[name]
        for name in _MUST.get(panel_kind, ()):
            field = self.fields[name]
            field.required = True
            if isinstance(field, PickField):
                field.require()
        self.lay_out()

    def clean(self) -> dict[str, Any]:
        data: dict[str, Any] = super().clean() or self.cleaned_data
        sides = [data.get(name) for name in _SIDES if name in self.fields]
        if any(sides) and not all(sides):
            for name in _SIDES:
                if not data.get(name) and name not in self.errors:
                    self.add_error(name, _("Give all three sides, or none."))
        if "bars_of" in self.fields:
            data["reinforcement"] = self._bars(data)
        return data

    def _bars(self, data: dict[str, Any]) -> Reinforcement | None:
        part, curtains = data.get("bars_of"), data.get("curtains")
        if part is not None and curtains is not None:
            self.add_error("curtains", _("Typed and as drawn: give one of the two."))
            return None
        if part is not None:
            return Reinforcement.from_json(part.reinforcement)
        return None if curtains is None else self._typed(data, curtains)

    def _typed(self, data: dict[str, Any], curtains: int) -> Reinforcement | None:
        splice = None
        if data.get("splice"):
            splice = Splice(data["splice"], data.get("splice_clear"))
        planes = (Curtain.NEARER, Curtain.FARTHER)[:curtains]
        if planes and not (data.get("bar") and data.get("spacing")):
            for name in ("bar", "spacing"):
                if not data.get(name) and name not in self.errors:
                    self.add_error(name, _("Needed where there are bars."))
            return None
        try:
            mats = tuple(
                Mat(plane, way, data["bar"], data["spacing"])
                for plane in planes
                for way in (BarWay.VERTICAL, BarWay.HORIZONTAL)
            )
        except ValueError as fault:
            self.add_error("spacing", str(fault))
            return None
        return Reinforcement(mats, splice)

    def facts(self) -> dict[str, Any]:
        """Return what the action asks for, but for the size."""
        left_out = {*_SIDES, *_BARS}
        data = self.cleaned_data
        return {name: data[name] for name in data if name not in left_out}

    def sides(self) -> dict[str, Any] | None:
        """Return the panel's three sides, or nothing where none was given."""
        data = self.cleaned_data
        if not data.get("length"):
            return None
        return {name: data[name] for name in _SIDES}


class DecisionForm(OfferForm):
    """A decision on a panel, signed with the password."""

    ROWS = (
        ("decision", "decided_at"),
        ("supersedes", "reason"),
        ("words",),
        ("printed_name", "password"),
    )
    decision = forms.ChoiceField(label=gettext_lazy("Decision"))
    supersedes = PickField(
        label=gettext_lazy("This is"),
        required=False,
        nothing=gettext_lazy("a further decision"),
    )
    reason = forms.CharField(
        label=gettext_lazy("Why the decision is corrected"),
        max_length=400,
        required=False,
    )
    decided_at = LocalDateTimeField(label=gettext_lazy("Decided at"))
    words = forms.CharField(
        label=gettext_lazy("What was seen and decided"),
        max_length=2000,
        widget=forms.Textarea(attrs={"rows": 4}),
    )
    printed_name = forms.CharField(label=gettext_lazy("Printed name"), max_length=120)
    password = PasswordField()

    def __init__(self, *args: Any, panel_kind: PanelKind, **kwargs: Any) -> None:
        super().__init__(*args, **kwargs)
        field = self.fields["decision"]
        assert isinstance(field, forms.ChoiceField)  # noqa: S101 declared so above
        left_out = {DecisionOutcome.SUBSTITUTE_ACCEPTED}
        if panel_kind is not PanelKind.MOCK_UP:
            left_out.add(DecisionOutcome.ACCEPTED_UNDER_SUPERVISION)
        field.choices = [
            ("", _("choose")),
            *((d.value, d.value) for d in DecisionOutcome if d not in left_out),
        ]
        earlier = self.fields["supersedes"]
        assert isinstance(earlier, PickField)  # noqa: S101 declared so above
        if not earlier.rows:
            del self.fields["supersedes"], self.fields["reason"]
        self.lay_out()

    def clean(self) -> dict[str, Any]:
        data: dict[str, Any] = super().clean() or self.cleaned_data
        if data.get("supersedes") and not data.get("reason", "").strip():
            message = _("A correction needs its reason.")
            self.add_error("reason", ValidationError(message))
        return data


class SubstituteForm(OfferForm):
    """The engineer's word that cores from the work stand for a missing panel."""

    decided_at = LocalDateTimeField(label=gettext_lazy("Decided at"))
    words = forms.CharField(
        label=gettext_lazy("Why these cores may stand for it"),
        max_length=2000,
        widget=forms.Textarea(attrs={"rows": 4}),
    )
    printed_name = forms.CharField(label=gettext_lazy("Printed name"), max_length=120)
    password = PasswordField()
