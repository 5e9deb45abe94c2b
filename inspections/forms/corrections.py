"""Forms for entries being put right: what stands there, and why it changes."""

from __future__ import annotations

from collections.abc import Callable, Mapping
from dataclasses import dataclass, field
from datetime import datetime
from typing import Any

from django import forms
from django.http.request import QueryDict
from django.utils.translation import gettext_lazy

from crews.forms.fields import Offer
from inspections.forms.deficiencies import DeficiencyForm
from inspections.forms.entries import (
    FreshTestForm,
    LoadForm,
    ReadingForm,
    RemarkForm,
    WeatherForm,
)
from inspections.forms.fields import EntryForm
from inspections.forms.photographs import CaptionForm
from inspections.models import (
    Deficiency,
    FreshTest,
    Load,
    Photo,
    Reading,
    Remark,
    Weather,
)
from project.models import Job
from project.models.records import as_quantity


@dataclass(frozen=True)
class _Kind:
    """How one kind of entry is put right: its form, what it holds, what stays out."""

    form: type[EntryForm]
    holds: Callable[[Any], dict[str, Any]]
    without: tuple[str, ...] = ()
    asks: Callable[[Any], dict[str, Any]] = field(default=lambda row: {})


def _weather(row: Weather) -> dict[str, Any]:
    return {
        "at": _minute(row.at),
        "air": as_quantity(row.air, row.temperature_unit),
        "concrete": as_quantity(row.concrete, row.temperature_unit),
        "humidity": as_quantity(row.humidity, row.humidity_unit),
        "wind": as_quantity(row.wind, row.wind_unit),
        "sky": row.sky,
        "means": row.means,
    }


def _load(row: Load) -> dict[str, Any]:
    times = ("batched_at", "arrived_at", "first_shot_at", "last_shot_at")
    texts = ("truck", "ticket", "lot", "mix_as_printed", "refused_because")
    return {
        **{name: _minute(getattr(row, name)) for name in times},
        **{name: getattr(row, name) for name in texts},
        "supplier": str(row.supplier_id or ""),
        "mix_revision": str(row.mix_revision_id or ""),
        "volume": as_quantity(row.volume, row.volume_unit),
        "returned": as_quantity(row.returned, row.volume_unit),
        "water_added": as_quantity(row.water_added, row.water_added_unit),
        "accepted": "yes" if row.accepted else "no",
    }


def _measured(row: Any, *names: str) -> dict[str, Any]:
    held = {name: getattr(row, name) for name in names}
    value = as_quantity(row.value, row.value_unit)
    return {"at": _minute(row.at), "value": value, **held}


def _remark(row: Remark) -> dict[str, Any]:
    return {"at": _minute(row.at), "words": row.words}


def _photo(row: Photo) -> dict[str, Any]:
    held = {name: getattr(row, name) for name in ("caption", "place")}
    return {"at": _minute(row.at), "part": str(row.part_id or ""), **held}


def _deficiency(row: Deficiency) -> dict[str, Any]:
    texts = ("severity", "place", "words", "cause")
    return {
        "seen_at": _minute(row.seen_at),
        "part": str(row.part_id or ""),
        "volume_removed": as_quantity(row.volume_removed, row.volume_removed_unit),
        **{name: getattr(row, name) for name in texts},
    }


def _minute(at: datetime | None) -> datetime | None:
    """Return an instant to the minute, as the page shows and takes it."""
    return None if at is None else at.replace(second=0, microsecond=0)


_KINDS: Mapping[type[Any], _Kind] = {
    Weather: _Kind(WeatherForm, _weather),
    Load: _Kind(LoadForm, _load, without=("kind", "placement")),
    FreshTest: _Kind(
        FreshTestForm,
        lambda row: _measured(row, "retest"),
        asks=lambda row: {"kind": row.test_kind},
    ),
    Reading: _Kind(
        ReadingForm,
        lambda row: _measured(row, "place", "means"),
        asks=lambda row: {"kind": row.reading_kind},
    ),
    Remark: _Kind(RemarkForm, _remark, without=("kind",)),
    Photo: _Kind(CaptionForm, _photo),
    Deficiency: _Kind(DeficiencyForm, _deficiency, without=("item",)),
}


def correction_form(
    entry: Any,
    data: QueryDict | None,
    *,
    job: Job,
    offers: Mapping[str, Offer],
) -> EntryForm:
    """Return the form that holds an entry as it stands, and asks why it changes."""
    kind = _KINDS[type(entry)]
    form = kind.form(
        data, job=job, offers=offers, initial=kind.holds(entry), **kind.asks(entry)
    )
    for name in kind.without:
        form.fields.pop(name, None)
    form.fields["reason"] = forms.CharField(
        label=gettext_lazy("Why it is put right"), max_length=400
    )
    if form.ROWS:
        form.ROWS = (*form.ROWS, ("reason",))
        form.lay_out()
    return form
