"""Tables typed row by row. Units stand once, in the head; a row left empty is no row."""

from __future__ import annotations

from collections.abc import Sequence
from decimal import Decimal
from typing import Any

from django import forms
from django.core.exceptions import ValidationError
from django.utils.translation import gettext as _

from crews.forms.fields import UNITS
from project.charts.text import unit_text
from project.domain.units import Quantity
from project.forms.fields import SheetForm
from project.models import Job


class NumberField(forms.CharField):
    """A figure whose unit stands in the head of its column."""

    def __init__(self, **kwargs: Any) -> None:
        kwargs.setdefault("required", False)
        kwargs.setdefault(
            "widget",
            forms.TextInput(attrs={"inputmode": "decimal", "autocomplete": "off"}),
        )
        super().__init__(**kwargs)

    def clean(self, value: Any) -> Decimal | None:
        """Return the figure. Raises ValidationError with value and what is allowed."""
        typed = str(super().clean(value)).replace(",", "").replace("−", "-")
        if not typed:
            return None
        try:
            number = Decimal(typed)
        except ArithmeticError:
            number = Decimal("NaN")
        if not number.is_finite() or not 0 < number < 10**8:
            message = _("%(value)s; allowed is a number above 0, such as 2.50.")
            raise ValidationError(message, params={"value": typed})
        return number


def unit_field(kind: str, label: Any) -> forms.ChoiceField:
    """Return the choice of the unit of a column."""
    choices = [(unit, unit_text(unit)) for unit in UNITS[kind]["US"]]
    return forms.ChoiceField(label=label, choices=choices)


def dress(form: forms.Form) -> None:
    """Give the entries of a table the dress that crispy gives to those of a form."""
    for field in form.fields.values():
        listed = isinstance(field.widget, forms.Select)
        ticked = isinstance(field.widget, forms.CheckboxInput)
        dressed = "form-select" if listed else "form-control"
        field.widget.attrs["class"] = "form-check-input" if ticked else dressed


class TableRow(SheetForm):
    """One row of a table; `given` says whether anything was typed in it."""

    # What stands in a row from the start and makes it no row by itself.
    PRESET: tuple[str, ...] = ("id",)

    def __init__(self, *args: Any, **kwargs: Any) -> None:
        super().__init__(*args, **kwargs)
        dress(self)

    @property
    def given(self) -> bool:
        data = self.cleaned_data
        return any(data.get(n) not in (None, "") for n in data if n not in self.PRESET)

    def measured(self, head: forms.Form, **columns: str) -> dict[str, Quantity | None]:
        """Return figures with the units of the table's head."""
        units = head.cleaned_data
        return {
            name: None
            if self.cleaned_data[name] is None
            else Quantity(self.cleaned_data[name], units[unit])
            for name, unit in columns.items()
        }

    @property
    def complaints(self) -> list[tuple[str, str]]:
        """Every error of the row with the label of its field."""
        return [
            (str(self.fields[name].label) if name in self.fields else "", str(message))
            for name, messages in self.errors.items()
            for message in messages
        ]


class Table:
    """A head and its rows, bound and judged together."""

    def __init__(self, head: Any, rows: Sequence[Any]) -> None:
        dress(head)
        self.head = head
        self.rows = rows

    def is_valid(self) -> bool:
        """Judge the head and every row, so that all complaints stand at once."""
        return all([self.head.is_valid(), *(row.is_valid() for row in self.rows)])

    @property
    def is_bound(self) -> bool:
        return bool(self.head.is_bound)

    @property
    def given(self) -> list[Any]:
        """The rows in which something was typed."""
        return [row for row in self.rows if row.given]

    def take_errors(self, error: ValidationError, line: str) -> None:
        """Show what an action refused: `results.0.d1` in the first row given, at d1."""
        if not hasattr(error, "error_dict"):
            self.head.take_errors(error)
            return
        given = self.given
        for key, errors in error.error_dict.items():
            head, _dot, rest = key.partition(".")
            number, _dot, name = rest.partition(".")
            if head == line and number.isdecimal() and int(number) < len(given):
                row = given[int(number)]
                row.add_error(name if name in row.fields else None, errors)
            else:
                self.head.take_errors(ValidationError({key: errors}))

    def mark(self) -> None:
        """Let each entry that needs another look wear its bar."""
        for form in (self.head, *self.rows):
            for name in set(form.errors) & set(form.fields):
                form.fields[name].widget.attrs["class"] += " is-invalid"

    @property
    def errors(self) -> list[str]:
        """One entry for each field that needs another look, for the line on top."""
        forms_here = (self.head, *self.rows)
        return [name for form in forms_here if form.is_bound for name in form.errors]


def system_first(head: forms.Form, job: Job) -> None:
    """Show the units of the job's system first in each column."""
    for name, kind in (
        ("place_unit", "length"),
        ("diameter_unit", "length"),
        ("length_unit", "length"),
        ("load_unit", "force"),
        ("strength_unit", "pressure"),
        ("density_unit", "density"),
    ):
        field = head.fields.get(name)
        if isinstance(field, forms.ChoiceField):
            shown = UNITS[kind][job.unit_system]
            field.choices = [(unit, unit_text(unit)) for unit in shown]
