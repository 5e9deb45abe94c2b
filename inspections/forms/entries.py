"""Forms of a sheet's entries: weather, loads and their tests, readings, remarks."""

from __future__ import annotations

from decimal import Decimal
from typing import Any

from django import forms
from django.core.exceptions import ValidationError
from django.utils.translation import gettext as _
from django.utils.translation import gettext_lazy

from crews.forms.fields import PickField, WordField
from inspections.domain.observed import (
    FRESH_TEST_DIMENSIONS,
    READING_DIMENSIONS,
    FreshTestKind,
    LoadKind,
    ReadingKind,
    RemarkKind,
)
from inspections.forms.fields import UNITS, EntryForm, FigureField
from project.charts.text import unit_text
from project.domain.units import Quantity
from project.forms.fields import LocalDateTimeField, QuantityField

_YES_NO = (("yes", gettext_lazy("Accepted")), ("no", gettext_lazy("Sent back")))


class WeatherForm(EntryForm):
    """What was read of the weather at the wall; what was not read stays empty."""

    ROWS = (
        ("at", "means"),
        ("air", "humidity"),
        ("wind", "concrete"),
        ("sky",),
    )

    at = LocalDateTimeField(label=gettext_lazy("Read at"))
    air = FigureField("temperature", gettext_lazy("Air"))
    humidity = FigureField("share", gettext_lazy("Relative humidity"))
    wind = FigureField("speed", gettext_lazy("Wind"))
    concrete = FigureField("temperature", gettext_lazy("Concrete"))
    sky = forms.CharField(label=gettext_lazy("Sky"), max_length=40, required=False)
    means = forms.CharField(
        label=gettext_lazy("Read with"), max_length=80, required=False
    )


class LoadForm(EntryForm):
    """One truck or bag as its ticket and the clock say."""

    ROWS = (
        ("kind", "ticket", "truck"),
        ("supplier", "lot"),
        ("mix_revision", "mix_as_printed", "placement"),
        ("volume", "returned", "water_added"),
        ("batched_at", "arrived_at"),
        ("first_shot_at", "last_shot_at"),
        ("accepted", "refused_because"),
    )

    kind = WordField(LoadKind, label=gettext_lazy("Comes as"))
    supplier = PickField(label=gettext_lazy("Plant"), required=False)
    truck = forms.CharField(label=gettext_lazy("Truck"), max_length=20, required=False)
    ticket = forms.CharField(
        label=gettext_lazy("Ticket"), max_length=40, required=False
    )
    lot = forms.CharField(
        label=gettext_lazy("Lot of the bags"), max_length=40, required=False
    )
    mix_revision = PickField(label=gettext_lazy("Mix"), required=False)
    mix_as_printed = forms.CharField(
        label=gettext_lazy("Mix as printed, where it is none of these"),
        max_length=40,
        required=False,
    )
    placement = PickField(label=gettext_lazy("For"), required=False)
    volume = FigureField("volume", gettext_lazy("Volume"), required=True, least=None,
                         above=Decimal(0))  # fmt: skip
    returned = FigureField("volume", gettext_lazy("Went back"))
    water_added = FigureField("water", gettext_lazy("Water added"))
    batched_at = LocalDateTimeField(label=gettext_lazy("Batched"), required=False)
    arrived_at = LocalDateTimeField(label=gettext_lazy("Arrived"), required=False)
    first_shot_at = LocalDateTimeField(label=gettext_lazy("First shot"), required=False)
    last_shot_at = LocalDateTimeField(label=gettext_lazy("Last shot"), required=False)
    accepted = forms.TypedChoiceField(
        label=gettext_lazy("At the wall"),
        choices=_YES_NO,
        coerce=lambda given: given == "yes",
        initial="yes",
    )
    refused_because = forms.CharField(
        label=gettext_lazy("Sent back because"), max_length=200, required=False
    )


class FinishLoadForm(EntryForm):
    """What is known only when a load is shot."""

    last_shot_at = LocalDateTimeField(label=gettext_lazy("Last shot"))
    returned = FigureField("volume", gettext_lazy("Went back"))


class FreshTestsForm(EntryForm):
    """The tests of one load at one time; what was not tested stays empty."""

    ROWS = (("at", "retest"), ("slump", "air"), ("temperature", "unit_weight"),
            ("accelerator",))  # fmt: skip

    at = LocalDateTimeField(label=gettext_lazy("Tested at"))
    retest = forms.BooleanField(
        label=gettext_lazy("A retest of the same load"), required=False
    )
    slump = FigureField("length", gettext_lazy("Slump"))
    air = FigureField("share", gettext_lazy("Air"))
    temperature = FigureField("temperature", gettext_lazy("Temperature"))
    unit_weight = FigureField("density", gettext_lazy("Unit weight"))
    accelerator = FigureField("share", gettext_lazy("Accelerator"))

    def figures(self) -> dict[FreshTestKind, Quantity]:
        """Return the figures that were given, by the kind of test."""
        by_name = {kind.value.replace(" ", "_"): kind for kind in FreshTestKind}
        data = self.cleaned_data
        return {kind: data[n] for n, kind in by_name.items() if data.get(n) is not None}


class FreshTestForm(EntryForm):
    """One test being put right."""

    at = LocalDateTimeField(label=gettext_lazy("Tested at"))
    retest = forms.BooleanField(
        label=gettext_lazy("A retest of the same load"), required=False
    )

    def __init__(self, *args: Any, kind: str, **kwargs: Any) -> None:
        dimension = FRESH_TEST_DIMENSIONS[FreshTestKind(kind)]
        self.base_fields = {  # type: ignore[misc]  # this form's own, before copying
            **self.base_fields,
            "value": FigureField(dimension, kind.capitalize(), required=True),
        }
        super().__init__(*args, **kwargs)


# How many places one set of readings has room for; more is another set.
PLACES = 8


class ReadingsForm(EntryForm):
    """A set of readings of one kind: at each place a figure, in one unit."""

    ROWS = (
        ("kind", "unit"),
        ("at", "means"),
        ("placement", "part"),
        *(
            (f"place_{n}", f"value_{n}", f"place_{n + 1}", f"value_{n + 1}")
            for n in range(1, PLACES + 1, 2)
        ),
    )

    kind = WordField(ReadingKind, label=gettext_lazy("What was measured"))
    unit = forms.ChoiceField(label=gettext_lazy("In"))
    at = LocalDateTimeField(label=gettext_lazy("Read at"))
    placement = PickField(label=gettext_lazy("On"), required=False)
    part = PickField(label=gettext_lazy("Part"), required=False)
    means = forms.CharField(
        label=gettext_lazy("Read with"), max_length=60, required=False
    )

    def __init__(self, *args: Any, **kwargs: Any) -> None:
        added: dict[str, forms.Field] = {}
        for n in range(1, PLACES + 1):
            added[f"place_{n}"] = forms.CharField(
                label=_("Place %(n)s") % {"n": n}, max_length=40, required=False
            )
            added[f"value_{n}"] = forms.CharField(
                label=_("Read"),
                required=False,
                widget=forms.TextInput(attrs={"inputmode": "decimal"}),
            )
        self.base_fields = {**self.base_fields, **added}  # type: ignore[misc]  # as above
        super().__init__(*args, **kwargs)
        field = self.fields["unit"]
        assert isinstance(field, forms.ChoiceField)  # noqa: S101 declared so above
        field.choices = [(unit, unit_text(unit)) for unit in self._units()]

    def _units(self) -> list[str]:
        system = "US" if self.job is None else self.job.unit_system
        kinds = dict.fromkeys(READING_DIMENSIONS.values())
        return [unit for kind in kinds for unit in UNITS[kind][system]]

    def clean(self) -> dict[str, Any]:
        data: dict[str, Any] = super().clean() or self.cleaned_data
        kind, unit = data.get("kind"), data.get("unit")
        if kind is None or not unit:
            return data
        dimension = READING_DIMENSIONS[kind]
        if unit not in UNITS[dimension]["US"]:
            allowed = ", ".join(UNITS[dimension]["US"])
            message = _("%(unit)s for %(kind)s; allowed are %(allowed)s.")
            params = {"unit": unit_text(unit), "kind": kind, "allowed": allowed}
            self.add_error("unit", ValidationError(message, params=params))
            return data
        data["readings"] = self._readings(data, dimension, unit)
        return data

    def _readings(
        self, data: dict[str, Any], dimension: str, unit: str
    ) -> list[tuple[Quantity, str]]:
        least = None if dimension == "temperature" else Decimal(0)
        read = QuantityField(dimension, least=least, required=False)
        found = []
        for n in range(1, PLACES + 1):
            typed, place = data.get(f"value_{n}", ""), data.get(f"place_{n}", "")
            try:
                value = read.clean([typed, unit])
            except ValidationError as error:
                self.add_error(f"value_{n}", error)
                continue
            if value is not None:
                found.append((value, place))
            elif place:
                message = _("Place %(place)s has no figure; one is needed, or neither.")
                params = {"place": place}
                self.add_error(f"value_{n}", ValidationError(message, params=params))
        if not found and not self.errors:
            self.add_error("value_1", _("No figure is given; one at least is needed."))
        return found


class ReadingForm(EntryForm):
    """One reading being put right."""

    at = LocalDateTimeField(label=gettext_lazy("Read at"))
    place = forms.CharField(label=gettext_lazy("Place"), max_length=40, required=False)
    means = forms.CharField(
        label=gettext_lazy("Read with"), max_length=60, required=False
    )

    def __init__(self, *args: Any, kind: str, **kwargs: Any) -> None:
        dimension = READING_DIMENSIONS[ReadingKind(kind)]
        value = FigureField(dimension, kind.capitalize(), required=True)
        self.base_fields = {**self.base_fields, "value": value}  # type: ignore[misc]  # as above
        super().__init__(*args, **kwargs)


class RemarkForm(EntryForm):
    """A sentence on the sheet."""

    kind = WordField(RemarkKind, label=gettext_lazy("About"))
    at = LocalDateTimeField(label=gettext_lazy("At"))
    words = forms.CharField(
        label=gettext_lazy("In words"),
        max_length=4000,
        widget=forms.Textarea(attrs={"rows": 4}),
    )
