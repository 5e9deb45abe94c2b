"""Fields every app's forms are made of: quantities, local times, identities."""

from __future__ import annotations

from datetime import UTC, date, datetime
from decimal import Decimal
from typing import Any
from uuid import UUID
from zoneinfo import ZoneInfo

from crispy_forms.helper import FormHelper
from django import forms
from django.core.exceptions import ValidationError
from django.utils.translation import gettext as _
from django.utils.translation import gettext_lazy

from project import clock
from project.charts.text import unit_text
from project.domain.calculation_reading import FIRST_YEAR, LAST_YEAR
from project.domain.clocks import (
    RepeatedTimeError,
    SkippedTimeError,
    local_instant,
    on_the_clock,
)
from project.domain.units import Quantity, units_of
from project.models import Job
from project.models.records import new_id


class SheetForm(forms.Form):
    """A short form of one sheet: it carries the identity of what it will make.

    The identity is minted when the page is drawn and posted hidden, so that the
    same request sent twice makes one record.
    """

    id = forms.UUIDField(widget=forms.HiddenInput, required=False)

    def __init__(self, *args: Any, job: Job | None = None, **kwargs: Any) -> None:
        super().__init__(*args, **kwargs)
        self.job = job
        self.fields["id"].initial = new_id
        for field in self.fields.values():
            if isinstance(field, LocalDateTimeField) and job is not None:
                field.zone = job.zone
            if isinstance(field, PastDateField) and job is not None:
                field.zone = job.zone
        self.helper = FormHelper()
        self.helper.form_tag = False
        self.helper.disable_csrf = True

    def clean_id(self) -> UUID:
        given: UUID | None = self.cleaned_data["id"]
        return given or new_id()

    def take_errors(self, error: ValidationError) -> None:
        """Show what an action refused beside the fields it named."""
        if not hasattr(error, "error_dict"):
            self.add_error(None, error)
            return
        for name, errors in error.error_dict.items():
            self.add_error(name if name in self.fields else None, errors)


class QuantityWidget(forms.MultiWidget):
    """A number and, beside it, its unit."""

    template_name = "project/_quantity.html"
    use_fieldset = False  # one label, for the number; a legend would name neither part

    def __init__(self, units: tuple[str, ...]) -> None:
        number = forms.TextInput(attrs={"inputmode": "decimal", "autocomplete": "off"})
        unit = forms.Select(
            choices=[(u, unit_text(u) or u) for u in units],
            attrs={"aria-label": gettext_lazy("Unit")},
        )
        super().__init__([number, unit])

    def id_for_label(self, id_: str) -> str:
        """Return the number's identity: the label belongs to it, the unit has its own."""
        return f"{id_}_0" if id_ else ""

    def decompress(self, value: Quantity | None) -> list[object]:
        return [None, None] if value is None else [f"{value.value:f}", value.unit]


class QuantityField(forms.MultiValueField):
    """A number typed with its unit, kept as typed."""

    def __init__(
        self,
        dimension: str,
        *,
        units: tuple[str, ...] = (),
        least: Decimal | None = None,
        above: Decimal | None = None,
        most: Decimal | None = None,
        required: bool = True,
        **kwargs: Any,
    ) -> None:
        self.units = units or units_of(dimension)
        self.least, self.above, self.most = least, above, most
        fields = (
            forms.CharField(required=required),
            forms.ChoiceField(choices=[(u, u) for u in self.units]),
        )
        super().__init__(
            fields=fields,
            widget=QuantityWidget(self.units),
            require_all_fields=False,
            required=required,
            **kwargs,
        )

    def clean(self, value: Any) -> Quantity | None:
        """Return the quantity. Raises ValidationError with value and what is allowed."""
        number, unit = value or (None, None)
        typed = (number or "").strip().replace(",", "").replace("−", "-")
        if not typed:
            if self.required:
                raise ValidationError(self.error_messages["required"], code="required")
            return None
        if unit not in self.units:
            allowed = ", ".join(self.units)
            raise ValidationError(
                _("Unit %(unit)s; allowed are %(allowed)s."),
                params={"unit": unit or _("none"), "allowed": allowed},
            )
        return self._in_range(typed, str(unit))

    def _in_range(self, typed: str, unit: str) -> Quantity:
        try:
            number = Decimal(typed)
        except ArithmeticError:
            number = Decimal("NaN")
        if not number.is_finite() or abs(number) >= Decimal(10**8):
            raise ValidationError(
                _("%(value)s is not a number; allowed are digits such as 2.50."),
                params={"value": typed},
            )
        low = self.least is not None and number < self.least
        low = low or (self.above is not None and number <= self.above)
        if low or (self.most is not None and number > self.most):
            raise ValidationError(
                _("%(value)s %(unit)s; allowed is %(allowed)s."),
                params={"value": typed, "unit": unit, "allowed": self._allowed()},
            )
        return Quantity(number, unit)

    def _allowed(self) -> str:
        bounds = []
        if self.least is not None:
            bounds.append(_("at least %(n)s") % {"n": self.least})
        if self.above is not None:
            bounds.append(_("more than %(n)s") % {"n": self.above})
        if self.most is not None:
            bounds.append(_("at most %(n)s") % {"n": self.most})
        return ", ".join(bounds)


class LocalDateTimeField(forms.DateTimeField):
    """A date and time on the job's clock; what has not happened yet is refused.

    A time that the clock skipped is refused, and one that it showed twice is asked
    back with the two offsets to choose from; the box then takes text, since a picker
    has no place for an offset.
    """

    zone = "UTC"

    def __init__(self, *, future: bool = False, **kwargs: Any) -> None:
        self.future = future
        kwargs.setdefault(
            "widget",
            forms.DateTimeInput(
                attrs={"type": "datetime-local"}, format="%Y-%m-%dT%H:%M"
            ),
        )
        kwargs.setdefault(
            "input_formats", ["%Y-%m-%dT%H:%M", "%Y-%m-%dT%H:%M:%S", "%Y-%m-%d %H:%M"]
        )
        super().__init__(**kwargs)

    def prepare_value(self, value: Any) -> Any:
        """Return what the box shows: the wall time, with its offset where that is two."""
        if not isinstance(value, datetime) or value.tzinfo is None:
            return value
        there = value.astimezone(ZoneInfo(self.zone))
        wall = there.replace(tzinfo=None, fold=0)
        try:
            local_instant(wall, zone=self.zone)
        except RepeatedTimeError:
            self._take_text()
            return on_the_clock(there)
        return wall

    def _take_text(self) -> None:
        if isinstance(self.widget, forms.DateTimeInput):
            self.widget.input_type = "text"

    def to_python(self, value: Any) -> datetime | None:
        """Return an instant in UTC. Raises ValidationError for text that is none."""
        if isinstance(value, datetime):
            return value
        text = str(value or "").strip()
        if not text:
            return None
        # In UTC: two instants of one zone would be compared by their walls.
        instant = self._parsed(text).astimezone(UTC)
        now = clock.now()
        if not self.future and instant > now:
            raise ValidationError(
                _("%(value)s lies ahead; allowed is now, %(now)s, or earlier."),
                params={
                    "value": text.replace("T", " "),
                    "now": now.astimezone(ZoneInfo(self.zone)).strftime(
                        "%Y-%m-%d %H:%M"
                    ),
                },
            )
        return instant

    def _parsed(self, text: str) -> datetime:
        for pattern in self.input_formats:
            try:
                wall = datetime.strptime(text, pattern)  # noqa: DTZ007 the zone follows
            except ValueError:
                continue
            if FIRST_YEAR <= wall.year <= LAST_YEAR:
                return self._on_the_clock(wall, text)
        try:
            with_offset = datetime.fromisoformat(text)
        except ValueError:
            with_offset = None
        if (
            with_offset is not None
            and with_offset.tzinfo is not None
            and FIRST_YEAR <= with_offset.year <= LAST_YEAR
        ):
            return with_offset
        raise ValidationError(
            _("%(value)s is not a date and time; allowed is 2026-08-13 07:05."),
            params={"value": text},
        )

    def _on_the_clock(self, wall: datetime, text: str) -> datetime:
        told = {"value": text.replace("T", " "), "zone": self.zone}
        try:
            return local_instant(wall, zone=self.zone)
        except SkippedTimeError:
            raise ValidationError(
                _("%(value)s was never on the clock of %(zone)s that day."), params=told
            ) from None
        except RepeatedTimeError as twice:
            self._take_text()
            first, second = on_the_clock(twice.first), on_the_clock(twice.second)
            raise ValidationError(
                _(
                    "%(value)s came twice on the clock of %(zone)s; allowed is"
                    " %(first)s or %(second)s."
                ),
                params=told | {"first": first, "second": second},
            ) from None


class PlainDateField(forms.DateField):
    """A calendar date with a four-digit year."""

    def __init__(self, **kwargs: Any) -> None:
        kwargs.setdefault(
            "widget", forms.DateInput(attrs={"type": "date"}, format="%Y-%m-%d")
        )
        kwargs.setdefault("input_formats", ["%Y-%m-%d"])
        super().__init__(**kwargs)

    def to_python(self, value: Any) -> date | None:
        """Return the date. Raises ValidationError for a year of two digits."""
        try:
            found = super().to_python(value)
        except ValidationError:
            found = date.min
        if found is not None and not FIRST_YEAR <= found.year <= LAST_YEAR:
            raise ValidationError(
                _(
                    "%(value)s is not a date; allowed is year-month-day with a"
                    " four-digit year, such as 2026-08-19."
                ),
                params={"value": value},
            )
        return found


class PastDateField(PlainDateField):
    """A date that has come on the job's calendar."""

    zone = "UTC"

    def to_python(self, value: Any) -> date | None:
        """Return the date. Raises ValidationError for a day that is yet to come."""
        found = super().to_python(value)
        today = clock.now().astimezone(ZoneInfo(self.zone)).date()
        if found is not None and found > today:
            raise ValidationError(
                _("%(value)s lies ahead; allowed is today, %(today)s, or earlier."),
                params={"value": found.isoformat(), "today": today.isoformat()},
            )
        return found


class PasswordField(forms.CharField):
    """The password again, given to sign."""

    def __init__(self, **kwargs: Any) -> None:
        kwargs.setdefault("label", gettext_lazy("Your password again"))
        kwargs.setdefault("strip", False)
        kwargs.setdefault(
            "widget", forms.PasswordInput(attrs={"autocomplete": "current-password"})
        )
        super().__init__(**kwargs)


def columns(name: str, quantity: Quantity | None) -> dict[str, Any]:
    """Return a quantity as the two columns that a table keeps it in."""
    if quantity is None:
        return {name: None, f"{name}_unit": ""}
    return {name: quantity.value, f"{name}_unit": quantity.unit}
