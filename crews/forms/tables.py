"""Tables typed row by row: a panel's cores as drilled, and as the laboratory tested.

Units stand once, in the head of their column; a row left empty is no row.
"""

from __future__ import annotations

from collections.abc import Iterable, Sequence
from decimal import Decimal
from typing import Any

from django import forms
from django.core.exceptions import ValidationError
from django.http import QueryDict
from django.utils.translation import gettext as _
from django.utils.translation import gettext_lazy

from crews.domain.trade_words import CoreReinforcement
from crews.forms.fields import UNITS, OfferForm, WordField
from crews.models import Core, LabResult
from project.charts.text import unit_text
from project.domain.term_kinds import TERM_KINDS
from project.domain.units import Quantity
from project.forms.fields import LocalDateTimeField, PastDateField, SheetForm
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


class DrillHead(OfferForm):
    """When a panel's cores were drilled, and the units of the table."""

    drilled_at = LocalDateTimeField(label=gettext_lazy("Drilled at"))
    place_unit = unit_field("length", gettext_lazy("Unit of the places"))
    diameter_unit = unit_field("length", gettext_lazy("Unit of the diameter"))


class DrillRow(TableRow):
    """One core as drilled."""

    PRESET = ("id", "number")
    number = forms.IntegerField(
        label=gettext_lazy("Core"), min_value=1, max_value=999, required=False
    )
    planned_age_days = forms.IntegerField(
        label=gettext_lazy("Age at the test, days"),
        min_value=1,
        max_value=365,
        required=False,
    )
    x = NumberField(label=gettext_lazy("From the left"))
    y = NumberField(label=gettext_lazy("From the lower edge"))
    diameter = NumberField(label=gettext_lazy("Diameter"))
    grid = forms.CharField(
        label=gettext_lazy("Or place in words"), max_length=20, required=False
    )

    def clean(self) -> dict[str, Any]:
        data: dict[str, Any] = super().clean() or self.cleaned_data
        if self.given and not self.errors:
            for name in ("number", "planned_age_days"):
                if data.get(name) is None:
                    self.add_error(name, _("Needed for a core that was drilled."))
        return data

    def facts(self, head: forms.Form) -> dict[str, Any]:
        """Return the core's facts."""
        data = self.cleaned_data
        facts = {n: data[n] for n in ("id", "number", "planned_age_days", "grid")}
        units = {"x": "place_unit", "y": "place_unit", "diameter": "diameter_unit"}
        facts |= self.measured(head, **units)
        return facts | {"drilled_at": head.cleaned_data["drilled_at"]}


class ReportHead(OfferForm):
    """What a laboratory's report says of itself, and the units of its table."""

    number = forms.CharField(label=gettext_lazy("Report number"), max_length=40)
    issued_on = PastDateField(label=gettext_lazy("Issued"), required=False)
    received_at = LocalDateTimeField(label=gettext_lazy("Received"), required=False)
    tested_at = LocalDateTimeField(label=gettext_lazy("Tested at"))
    test_method = forms.CharField(
        label=gettext_lazy("Test method"), max_length=80, required=False
    )
    authorised_by = forms.CharField(
        label=gettext_lazy("Authorised by"), max_length=120, required=False
    )
    diameter_unit = unit_field("length", gettext_lazy("Diameters in"))
    length_unit = unit_field("length", gettext_lazy("Lengths in"))
    load_unit = unit_field("force", gettext_lazy("Breaking loads in"))
    strength_unit = unit_field("pressure", gettext_lazy("Strengths in"))
    density_unit = unit_field("density", gettext_lazy("Densities in"))
    remarks = forms.CharField(
        label=gettext_lazy("Remarks"),
        max_length=1000,
        required=False,
        widget=forms.Textarea(attrs={"rows": 2}),
    )

    REPORT = ("number", "issued_on", "received_at", "test_method", "authorised_by")

    def facts(self) -> dict[str, Any]:
        """Return what the report says of itself."""
        names = [name for name in (*self.REPORT, "remarks") if name in self.fields]
        return self.given(*names)


class AmendHead(ReportHead):
    """The next letter of a report."""

    number = None  # type: ignore[assignment]
    test_method = None  # type: ignore[assignment]
    reason = forms.CharField(
        label=gettext_lazy("Why the report is amended"), max_length=400
    )


class ResultRow(TableRow):
    """One core as tested: sizes, then a breaking load or a strength."""

    PRESET = ("id", "conditioning", "reinforcement", "confirmed")
    MEASURES = {
        "d1": "diameter_unit",
        "d2": "diameter_unit",
        "length_drilled": "length_unit",
        "length_tested": "length_unit",
        "breaking_load": "load_unit",
        "strength": "strength_unit",
        "density": "density_unit",
    }
    d1 = NumberField(label=gettext_lazy("Diameter 1"))
    d2 = NumberField(label=gettext_lazy("Diameter 2"))
    length_drilled = NumberField(label=gettext_lazy("Length drilled"))
    length_tested = NumberField(label=gettext_lazy("Length tested"))
    breaking_load = NumberField(label=gettext_lazy("Breaking load"))
    strength = NumberField(label=gettext_lazy("Strength"))
    density = NumberField(label=gettext_lazy("Density"))
    lab_number = forms.CharField(
        label=gettext_lazy("Laboratory number"), max_length=40, required=False
    )
    tested_at = LocalDateTimeField(
        label=gettext_lazy("Tested at, if another time"), required=False
    )
    conditioning = forms.ChoiceField(label=gettext_lazy("Conditioning"), required=False)
    reinforcement = WordField(
        CoreReinforcement,
        label=gettext_lazy("Metal in the core"),
        required=False,
        empty=gettext_lazy("not stated"),
    )
    damage = forms.CharField(
        label=gettext_lazy("Damage"), max_length=160, required=False
    )
    fracture = forms.CharField(
        label=gettext_lazy("Fracture"), max_length=80, required=False
    )
    confirmed = forms.BooleanField(
        label=gettext_lazy("The figure is meant as it stands"), required=False
    )

    def __init__(self, *args: Any, core: Core, **kwargs: Any) -> None:
        super().__init__(*args, **kwargs)
        self.core = core
        said = (kwargs.get("initial") or {}).get("conditioning", "")
        words = [*TERM_KINDS["conditioning"].choices]
        if said and said not in words:
            words.append(said)  # an earlier letter's own words stay
        field = self.fields["conditioning"]
        assert isinstance(field, forms.ChoiceField)  # noqa: S101 declared so above
        field.choices = [("", _("not stated")), *((word, word) for word in words)]

    @property
    def asked_back(self) -> bool:
        """Whether a figure was asked back, or was confirmed before."""
        asked = {"breaking_load", "strength"} & set(self.errors)
        return bool(asked) or bool(self.is_bound and self["confirmed"].value())

    def facts(self, head: forms.Form) -> dict[str, Any]:
        """Return the core's result, with the units of the head."""
        data = self.cleaned_data
        plain = (
            "id", "lab_number", "conditioning", "reinforcement", "damage",
            "fracture", "confirmed",
        )  # fmt: skip
        facts: dict[str, Any] = {name: data[name] for name in plain}
        facts |= self.measured(head, **self.MEASURES)
        tested_at = data["tested_at"] or head.cleaned_data["tested_at"]
        return facts | {"core": self.core, "tested_at": tested_at}


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

    @property
    def errors(self) -> list[str]:
        """One entry for each field that needs another look, for the line on top."""
        forms_here = (self.head, *self.rows)
        return [name for form in forms_here if form.is_bound for name in form.errors]


def drill_table(
    data: QueryDict | None, *, job: Job, ages: Sequence[int], first: int, at: Any
) -> Table:
    """Return an empty table of cores, a row for each age and two to spare."""
    head = DrillHead(data, job=job, initial={"drilled_at": at})
    _system_first(head, job)
    spare: list[int | None] = [None, None]
    rows = [
        DrillRow(
            data,
            job=job,
            prefix=f"core{n}",
            initial={"number": first + n, "planned_age_days": age},
        )
        for n, age in enumerate([*ages, *spare])
    ]
    return Table(head, rows)


def result_table(
    data: QueryDict | None,
    *,
    job: Job,
    cores: Iterable[Core],
    conditioning: str,
    at: Any,
) -> Table:
    """Return the table of a set's cores, to be filled by the laboratory."""
    head = ReportHead(data, job=job, initial={"tested_at": at})
    _system_first(head, job)
    shown = {"conditioning": conditioning}
    rows = [
        ResultRow(data, job=job, core=core, prefix=core.first.hex, initial=shown)
        for core in cores
    ]
    return Table(head, rows)


def amended_table(
    data: QueryDict | None, *, job: Job, results: Sequence[LabResult]
) -> Table:
    """Return the table of a report's next letter, filled with what stands."""
    first = results[0]
    columns = ("diameter", "length", "breaking_load", "strength", "density")
    kept = {
        name: next((u for r in results if (u := getattr(r, f"{name}_unit"))), "")
        for name in columns
    }
    kept["load"] = kept.pop("breaking_load")
    units = {f"{name}_unit": unit for name, unit in kept.items() if unit}
    head = AmendHead(data, job=job, initial={"tested_at": first.tested_at, **units})
    _system_first(head, job)
    rows = [_amended_row(data, job, result, first.tested_at) for result in results]
    return Table(head, rows)


def _amended_row(
    data: QueryDict | None, job: Job, result: LabResult, tested_at: Any
) -> ResultRow:
    plain = ("lab_number", "conditioning", "reinforcement", "damage", "fracture")
    shown = {name: getattr(result, name) for name in plain}
    for name in ResultRow.MEASURES:
        figure = getattr(result, name)
        shown[name] = "" if figure is None else f"{figure.normalize():f}"
    if result.tested_at != tested_at:
        shown["tested_at"] = result.tested_at
    return ResultRow(
        data,
        job=job,
        core=result.core,
        prefix=result.core_id.hex,
        initial=shown,
    )


def _system_first(head: forms.Form, job: Job) -> None:
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
