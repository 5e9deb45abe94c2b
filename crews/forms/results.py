"""The table of a set of cores as the laboratory tested them."""

from __future__ import annotations

from collections.abc import Iterable, Sequence
from typing import Any

from django import forms
from django.http import QueryDict
from django.utils.translation import gettext as _
from django.utils.translation import gettext_lazy

from crews.domain.trade_words import CoreReinforcement
from crews.forms.fields import OfferForm, WordField
from crews.forms.tables import NumberField, Table, TableRow, system_first, unit_field
from crews.models import Core, LabResult
from project.domain.term_kinds import TERM_KINDS
from project.forms.fields import LocalDateTimeField, PastDateField
from project.models import Job


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
    system_first(head, job)
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
    system_first(head, job)
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
