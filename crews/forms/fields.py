"""Fields and forms of the crew's pages: one row out of those offered, as of, reasons."""

from __future__ import annotations

from collections.abc import Iterable, Mapping
from decimal import Decimal
from enum import StrEnum
from typing import Any

from crispy_forms.layout import Column, Layout, Row
from django import forms
from django.db.models import Model
from django.utils.translation import gettext as _
from django.utils.translation import gettext_lazy

from project.forms.fields import LocalDateTimeField, QuantityField, SheetForm
from project.models import Job

# What a form offers of one field: rows, each with the words it is shown by.
Offer = Iterable[tuple[Any, str]]

UNITS: Mapping[str, Mapping[str, tuple[str, ...]]] = {
    "length": {"US": ("in", "mm"), "SI": ("mm", "in")},
    "long length": {"US": ("ft", "m"), "SI": ("m", "ft")},
    "area": {"US": ("ft2", "m2"), "SI": ("m2", "ft2")},
    "volume": {"US": ("yd3", "m3"), "SI": ("m3", "yd3")},
    "flow": {"US": ("cfm", "m3/min"), "SI": ("m3/min", "cfm")},
    "force": {"US": ("lbf", "kN", "N"), "SI": ("kN", "N", "lbf")},
    "pressure": {"US": ("psi", "MPa"), "SI": ("MPa", "psi")},
    "density": {"US": ("pcf", "kg/m3"), "SI": ("kg/m3", "pcf")},
}


_NOT_OFFERED = gettext_lazy("%(value)s is not on this list; allowed is one that is.")


def key_of(row: Any) -> str:
    """Return the identity a row is posted by: of a fact, its chain's."""
    return str(getattr(row, "first", None) or row.pk)


def named(rows: Iterable[Any]) -> list[tuple[Any, str]]:
    """Offer rows under their own names."""
    return [(row, str(row)) for row in rows]


class PickField(forms.ChoiceField):
    """One row out of those the page offers; an identity of any other is refused."""

    def __init__(self, *, nothing: Any = "", **kwargs: Any) -> None:
        kwargs.setdefault("error_messages", {"invalid_choice": _NOT_OFFERED})
        super().__init__(**kwargs)
        self.nothing = nothing
        self.offered: list[tuple[Any, str]] = []
        self.rows: dict[str, Any] = {}

    def require(self) -> None:
        """Ask for a choice, where it could have been left open."""
        self.required = True
        self.offer(self.offered)

    def offer(self, rows: Offer) -> None:
        """Set what may be chosen; one that must be chosen and is alone is chosen."""
        offered = self.offered = list(rows)
        self.rows = {key_of(row): row for row, _words in offered}
        choices = [(key_of(row), words) for row, words in offered]
        if not self.required or len(choices) != 1:
            empty = _("choose") if self.required else _("none")
            choices.insert(0, ("", self.nothing or empty))
        self.choices = choices

    def prepare_value(self, value: Any) -> Any:
        return key_of(value) if isinstance(value, Model) else value

    def clean(self, value: Any) -> Any:
        """Return the row itself. Raises ValidationError for one not offered."""
        return self.rows.get(super().clean(value))


class WordField(forms.TypedChoiceField):
    """One word of a list of the trade."""

    def __init__(
        self, words: type[StrEnum], *, empty: Any = "", leave_out: Any = (), **kw: Any
    ) -> None:
        choices = [(w.value, w.value) for w in words if w not in leave_out]
        if not kw.get("required", True):
            choices.insert(0, ("", empty))
        kw.setdefault("error_messages", {"invalid_choice": _NOT_OFFERED})
        super().__init__(choices=choices, coerce=words, empty_value=None, **kw)


class PaperField(forms.FileField):
    """A scan of a paper: a picture or a PDF, given on as its bytes and its name."""

    # As many as are kept; one byte more shows the action that there are too many.
    MOST_BYTES = 20 * 1024 * 1024

    def __init__(self, **kwargs: Any) -> None:
        kwargs.setdefault("required", False)
        kwargs.setdefault("allow_empty_file", True)  # the action refuses it by name
        accept = {"accept": "image/jpeg,image/png,application/pdf"}
        kwargs.setdefault("widget", forms.FileInput(attrs=accept))
        kwargs.setdefault(
            "help_text", gettext_lazy("A JPEG, PNG or PDF, 20 MB at most.")
        )
        super().__init__(**kwargs)

    def clean(self, data: Any, initial: Any = None) -> tuple[bytes, str] | None:
        """Return the bytes and the name, nothing where no file was chosen."""
        sent = super().clean(data, initial)
        return (sent.read(self.MOST_BYTES + 1), sent.name) if sent else None


def measure(kind: str, label: Any, **kwargs: Any) -> QuantityField:
    """Return a field for a quantity above zero, or from `least`, in either system."""
    dimension = "length" if kind == "long length" else kind
    kwargs.setdefault("required", False)
    if "least" not in kwargs:
        kwargs["above"] = Decimal(0)
    return _Measure(dimension, units=UNITS[kind]["US"], label=label, **kwargs)


class _Measure(QuantityField):
    """A quantity whose unit starts as the job's system has it."""

    def use_system(self, system: str) -> None:
        """Show the units of a job's system first."""
        ordered = next(
            (by[system] for by in UNITS.values() if set(by["US"]) == set(self.units)),
            self.units,
        )
        select = self.widget.widgets[1]
        shown = dict(select.choices)
        select.choices = [(unit, shown[unit]) for unit in ordered]


class OfferForm(SheetForm):
    """A short form whose lists are rows of the job."""

    # Fields that stand side by side; with any, the form is as wide as the page.
    ROWS: tuple[tuple[str, ...], ...] = ()

    def __init__(
        self,
        *args: Any,
        job: Job | None = None,
        offers: Mapping[str, Offer] | None = None,
        **kwargs: Any,
    ) -> None:
        super().__init__(*args, job=job, **kwargs)
        for name, rows in (offers or {}).items():
            if name in self.fields:
                field = self.fields[name]
                assert isinstance(field, PickField)  # noqa: S101 declared so above
                field.offer(rows)
        if job is not None:
            for field in self.fields.values():
                if isinstance(field, _Measure):
                    field.use_system(job.unit_system)
        if self.ROWS:
            self.lay_out()

    def lay_out(self) -> None:
        """Set the fields that are there side by side, row by row."""
        named = [[name for name in row if name in self.fields] for row in self.ROWS]
        rows = [Row(*(Column(name) for name in row)) for row in named if row]
        self.helper.layout = Layout("id", *rows)

    def given(self, *names: str) -> dict[str, Any]:
        """Return some of what was typed, by name."""
        return {name: self.cleaned_data[name] for name in names}


class ReasonForm(SheetForm):
    """Why something on record is taken back."""

    reason = forms.CharField(label=gettext_lazy("Why"), max_length=400)


class LookForm(forms.Form):
    """The instant a page is read for, and the instant whose knowledge it is read with."""

    at = LocalDateTimeField(
        label=gettext_lazy("As of"),
        required=False,
        future=True,
        input_formats=["%Y-%m-%dT%H:%M", "%Y-%m-%d %H:%M", "%Y-%m-%d"],
    )
    known = LocalDateTimeField(
        label=gettext_lazy("As known at"),
        required=False,
        input_formats=["%Y-%m-%dT%H:%M", "%Y-%m-%d %H:%M", "%Y-%m-%d"],
    )

    def __init__(self, *args: Any, job: Job, **kwargs: Any) -> None:
        super().__init__(*args, **kwargs)
        for field in self.fields.values():
            if isinstance(field, LocalDateTimeField):
                field.zone = job.zone
