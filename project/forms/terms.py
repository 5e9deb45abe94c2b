"""Forms of the contract's terms: one departure, or another edition to start from."""

from __future__ import annotations

from collections.abc import Iterable
from decimal import Decimal, InvalidOperation
from typing import Any

from django import forms
from django.core.exceptions import ValidationError
from django.utils.translation import gettext as _
from django.utils.translation import gettext_lazy

from project.charts.text import unit_text
from project.domain.editions import EDITIONS, Departure
from project.domain.term_kinds import (
    TERM_KINDS,
    Shape,
    TermKind,
    Value,
    check_term,
    shown,
)
from project.domain.terms import TermValue
from project.domain.units import Quantity
from project.forms.fields import PlainDateField, QuantityField, SheetForm

Words = list[tuple[str, str]]


def terms_by_group() -> list[tuple[str, Words]]:
    """Return every term's name and label under the head of its group."""
    groups: dict[str, Words] = {}
    for name, kind in TERM_KINDS.items():
        groups.setdefault(kind.group, []).append((name, kind.label))
    return list(groups.items())


def _words(kind: TermKind) -> Words:
    """Return what may be chosen; nothing to choose from for a number."""
    if kind.shape is Shape.FLAG:
        return [("yes", _("yes")), ("no", _("no"))]
    return [(word, word) for word in kind.choices]


def _units(kind: TermKind) -> Words:
    return [(unit, unit_text(unit) or unit) for unit in kind.units]


def typed(name: str, text: str, unit: str | None = None) -> Value:
    """Return a term's value as typed; nothing stands for "not given".

    Raises ValidationError with the value and what is allowed.
    """
    kind = TERM_KINDS[name]
    value: Value = None
    if text and kind.shape is Shape.FLAG:
        value = {"yes": True, "no": False}.get(text.lower(), text)
    elif text and kind.shape is Shape.CHOICE:
        value = text
    elif text:
        value = _number(text, kind.allowed)
    try:
        check_term(name, value, unit)
    except ValueError:
        raise ValidationError(
            _("%(value)s; allowed is %(allowed)s."),
            params={"value": shown(value, unit), "allowed": kind.allowed},
        ) from None
    return value


def _number(text: str, allowed: str) -> Decimal:
    try:
        return Decimal(text.replace(",", "").replace("−", "-"))
    except InvalidOperation:
        raise ValidationError(
            _("%(value)s is not a number; allowed is %(allowed)s."),
            params={"value": text, "allowed": allowed},
        ) from None


class TermChooser(forms.Form):
    """Which term the contract gives otherwise."""

    term = forms.ChoiceField(
        label=gettext_lazy("Term"), widget=forms.Select(attrs={"class": "form-select"})
    )

    def __init__(self, *args: Any, **kwargs: Any) -> None:
        super().__init__(*args, **kwargs)
        field = self.fields["term"]
        assert isinstance(field, forms.ChoiceField)  # noqa: S101 declared so above
        field.choices = [("", _("choose a term")), *terms_by_group()]


class EditionChooser(forms.Form):
    """Which requirement set the contract starts from."""

    edition = forms.ChoiceField(
        label=gettext_lazy("Requirement set"),
        choices=[(key, each.name) for key, each in EDITIONS.items()],
        widget=forms.Select(attrs={"class": "form-select"}),
    )


class TermForm(SheetForm):
    """One departure from the terms in force: it makes the next revision."""

    term = forms.ChoiceField(choices=[(name, name) for name in TERM_KINDS])
    value = forms.CharField(label=gettext_lazy("Value"), required=False, max_length=60)
    unit = forms.ChoiceField(label=gettext_lazy("Unit"), required=False)
    effective_on = PlainDateField(label=gettext_lazy("In force from"))
    reason = forms.CharField(
        label=gettext_lazy("Where the contract says so, and why"), max_length=200
    )

    def __init__(
        self, *args: Any, term: str, now: TermValue | None, **kwargs: Any
    ) -> None:
        super().__init__(*args, **kwargs)
        kind = TERM_KINDS[term]
        self.fields["term"].initial = term
        self.fields["term"].widget = forms.HiddenInput()
        value = self.fields["value"]
        value.label, value.required = kind.label, kind.required
        value.initial = shown(now.value) if now and now.value is not None else ""
        value.help_text = self._help(kind)
        if _words(kind):
            none = [] if kind.required else [("", _("not given"))]
            value.widget = forms.Select(choices=none + _words(kind))
        else:
            value.widget.attrs["inputmode"] = "decimal"
        self._offer_units(kind, now)

    def _help(self, kind: TermKind) -> str:
        if kind.required or _words(kind):
            return kind.note
        empty = _("Left empty: the contract gives none.")
        return f"{kind.note}. {empty}" if kind.note else empty

    def _offer_units(self, kind: TermKind, now: TermValue | None) -> None:
        field = self.fields["unit"]
        assert isinstance(field, forms.ChoiceField)  # noqa: S101 declared so above
        if not kind.units:
            field.choices = [("", "")]
            field.widget = forms.HiddenInput()
            return
        none = [] if now and now.unit else [("", _("choose"))]
        field.choices = none + _units(kind)
        field.error_messages["invalid_choice"] = _(
            "Unit %(value)s; allowed are %(allowed)s."
        ).replace("%(allowed)s", ", ".join(kind.units))
        field.initial = now.unit if now else None

    def departure(self) -> tuple[str, Departure]:
        """Return the term's name and what the contract says instead."""
        data = self.cleaned_data
        value: Value = data["typed"]
        unit = (data["unit"] or None) if value is not None else None
        return data["term"], Departure(value, unit, data["reason"])

    def clean(self) -> dict[str, Any]:
        data: dict[str, Any] = super().clean() or self.cleaned_data
        if "term" not in data or "value" not in data or "unit" not in data:
            return data
        text = data["value"].strip()
        unit = (data["unit"] or None) if text else None
        try:
            data["typed"] = typed(data["term"], text, unit)
        except ValidationError as error:
            self.add_error("value", error)
        return data


class EditionForm(SheetForm):
    """Another requirement set to start from, with each value that it asks for."""

    effective_on = PlainDateField(label=gettext_lazy("In force from"))
    reason = forms.CharField(
        label=gettext_lazy("Where the contract says so, and why"), max_length=200
    )

    def __init__(self, *args: Any, asked: Iterable[str], **kwargs: Any) -> None:
        super().__init__(*args, **kwargs)
        self.asked = tuple(asked)
        for name in self.asked:
            self.fields[name] = _asked(TERM_KINDS[name])

    def clean(self) -> dict[str, Any]:
        data: dict[str, Any] = super().clean() or self.cleaned_data
        for name in self.asked:
            if name not in data or isinstance(data[name], Quantity):
                continue
            try:
                data[name] = typed(name, data[name].strip())
            except ValidationError as error:
                self.add_error(name, error)
        return data

    def departures(self) -> dict[str, Departure]:
        """Return what the contract gives where the set gives nothing."""
        reason = self.cleaned_data["reason"]
        found = {}
        for name in self.asked:
            value = self.cleaned_data[name]
            if isinstance(value, Quantity):
                found[name] = Departure(value.value, value.unit, reason)
            else:
                found[name] = Departure(value, None, reason)
        return found


def _asked(kind: TermKind) -> forms.Field:
    """Return the field of a term that must be given."""
    label = f"{kind.group}: {kind.label}"
    if kind.shape is Shape.QUANTITY:
        above = Decimal(0) if kind.positive else None
        # A contract's times are days sooner than seconds; the first unit is offered.
        units = tuple(reversed(kind.units)) if kind.dimension == "time" else ()
        return QuantityField(
            kind.dimension, units=units, label=label, help_text=kind.note, above=above
        )
    if _words(kind):
        choices = [("", _("choose")), *_words(kind)]
        return forms.ChoiceField(label=label, help_text=kind.note, choices=choices)
    number = forms.TextInput(attrs={"inputmode": "decimal", "autocomplete": "off"})
    return forms.CharField(
        label=label, help_text=kind.note, widget=number, max_length=60
    )
