"""The table of a panel's cores as they are drilled."""

from __future__ import annotations

from collections.abc import Sequence
from typing import Any

from django import forms
from django.http import QueryDict
from django.utils.translation import gettext as _
from django.utils.translation import gettext_lazy

from crews.forms.fields import OfferForm
from crews.forms.tables import NumberField, Table, TableRow, system_first, unit_field
from project.forms.fields import LocalDateTimeField
from project.models import Job


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


def drill_table(
    data: QueryDict | None, *, job: Job, ages: Sequence[int], first: int, at: Any
) -> Table:
    """Return an empty table of cores, a row for each age and two to spare."""
    head = DrillHead(data, job=job, initial={"drilled_at": at})
    system_first(head, job)
    wanted: list[int | None] = [*ages, None, None]
    while data is not None and _sent(data, len(wanted)):
        wanted.append(None)  # drawn before somebody else drilled some of them
    rows = [
        DrillRow(
            data,
            job=job,
            prefix=f"core{n}",
            initial={"number": first + n, "planned_age_days": age},
        )
        for n, age in enumerate(wanted)
    ]
    return Table(head, rows)


def _sent(data: QueryDict, row: int) -> bool:
    return any(key.startswith(f"core{row}-") for key in data)
