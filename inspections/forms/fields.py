"""Fields of a sheet's entries: figures in the job's units, places, local times."""

from __future__ import annotations

from collections.abc import Mapping
from decimal import Decimal
from typing import Any

from django import forms
from django.core.exceptions import ValidationError
from django.utils.translation import gettext as _
from django.utils.translation import gettext_lazy

from crews.forms.fields import OfferForm
from project.forms.fields import QuantityField
from project.models import Job

# What a figure may be given in; the job's own system stands first.
UNITS: Mapping[str, Mapping[str, tuple[str, ...]]] = {
    "temperature": {"US": ("F", "C"), "SI": ("C", "F")},
    "share": {"US": ("percent",), "SI": ("percent",)},
    "speed": {"US": ("mph", "km/h", "m/s"), "SI": ("km/h", "m/s", "mph")},
    "volume": {"US": ("yd3", "ft3", "m3"), "SI": ("m3", "ft3", "yd3")},
    "water": {"US": ("gal", "l"), "SI": ("l", "gal")},
    "length": {"US": ("in", "mm"), "SI": ("mm", "in")},
    "distance": {"US": ("ft", "m"), "SI": ("m", "ft")},
    "pressure": {"US": ("psi", "MPa", "kPa"), "SI": ("MPa", "kPa", "psi")},
    "density": {"US": ("pcf", "kg/m3"), "SI": ("kg/m3", "pcf")},
}
_DIMENSIONS = {"water": "volume", "distance": "length"}


class FigureField(QuantityField):
    """A figure read or delivered; anything but a temperature is nought or more."""

    def __init__(self, kind: str, label: Any, **kwargs: Any) -> None:
        self.kind = kind
        if kind != "temperature":
            kwargs.setdefault("least", Decimal(0))
        if kind == "share":
            kwargs.setdefault("most", Decimal(100))
        kwargs.setdefault("required", False)
        super().__init__(
            _DIMENSIONS.get(kind, kind), units=UNITS[kind]["US"], label=label, **kwargs
        )

    def use_system(self, system: str) -> None:
        """Show the units of the job's system first."""
        select = self.widget.widgets[1]
        shown = dict(select.choices)
        select.choices = [(unit, shown[unit]) for unit in UNITS[self.kind][system]]


_NOT_OFFERED = gettext_lazy("%(value)s is not on this list; allowed is one that is.")


def say_what_is_offered(form: forms.Form) -> None:
    """Let every list of a form refuse in the same words, with the value."""
    for field in form.fields.values():
        if isinstance(field, forms.ChoiceField):
            field.error_messages["invalid_choice"] = _NOT_OFFERED


class EntryForm(OfferForm):
    """One entry on a sheet."""

    def __init__(self, *args: Any, job: Job | None = None, **kwargs: Any) -> None:
        super().__init__(*args, job=job, **kwargs)
        say_what_is_offered(self)
        if job is not None:
            for field in self.fields.values():
                if isinstance(field, FigureField):
                    field.use_system(job.unit_system)

    def changes(self) -> dict[str, Any]:
        """Return what differs from the entry being put right, by column.

        Raises ValidationError for a figure that is only wiped out: what was read is
        taken back with the whole entry, so that nobody asks where it went.
        """
        found: dict[str, Any] = {}
        for name in self.changed_data:
            if name in ("id", "reason"):
                continue
            value = self.cleaned_data[name]
            if value is None and isinstance(self.fields[name], FigureField):
                message = _(
                    "Left empty; allowed is a figure. To be rid of it, take the whole"
                    " entry back and write it anew."
                )
                raise ValidationError({name: message})
            found[name] = value
        return found
