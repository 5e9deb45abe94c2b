"""What the pages of sheets are written with: a sheet's stamp, lateness, kept figures."""

from __future__ import annotations

from collections.abc import Mapping, Sequence
from datetime import datetime
from decimal import ROUND_HALF_EVEN, Decimal

from django import template
from django.utils.html import format_html
from django.utils.safestring import SafeString
from django.utils.translation import gettext as _
from django.utils.translation import ngettext

from inspections.queries.reports import VOID, Sheet
from project.charts import text
from project.domain.units import Quantity
from project.domain.verdict import State
from project.templatetags.look import stamp

register = template.Library()

_HOUR, _DAY = 60, 24 * 60


@register.filter
def long(minutes: int) -> str:
    """Say a stretch of minutes in the largest unit that is full."""
    if minutes >= 2 * _DAY:
        return _("%(n)s days") % {"n": minutes // _DAY}
    if minutes >= 2 * _HOUR:
        return _("%(n)s h") % {"n": minutes // _HOUR}
    return _("%(n)s min") % {"n": minutes}


@register.filter
def days_long(count: int) -> str:
    """Say a count of days."""
    return ngettext("%(n)s day", "%(n)s days", count) % {"n": count}


def late_words(minutes: int) -> str:
    """Say how late something is."""
    return _("%(long)s late") % {"long": long(minutes)}


@register.simple_tag
def sheet_stamp(sheet: Sheet) -> SafeString:
    """Stamp how a sheet stands; a draft past its day says how late it is."""
    if sheet.state == VOID:
        return stamp("withdrawn", _("void"))
    if sheet.state == "draft":
        timing = sheet.timing
        if timing is not None and timing.state is State.FAIL:
            words = _("draft, %(late)s") % {"late": late_words(timing.late_minutes)}
            return stamp("late", words)
        return stamp("draft")
    if sheet.state == "amended":
        return stamp("not reviewed", _("amended, not yet reviewed"))
    return stamp("reviewed" if sheet.state == "reviewed" else "not reviewed")


@register.simple_tag
def late_stamp(sheet: Sheet) -> str:
    """Stamp a sheet that was signed after its day; nothing for any other."""
    timing = sheet.timing
    if sheet.first is None or timing is None or timing.state is not State.FAIL:
        return ""
    words = _("signed %(late)s") % {"late": late_words(timing.late_minutes)}
    return stamp("late", words)


@register.filter
def tenths(quantity: Quantity | None) -> str:
    """Write a volume worked out, to one place, its unit behind it."""
    if quantity is None:
        return ""
    return text.quantity_text(Quantity(_tenths(quantity.value), quantity.unit))


@register.filter
def tenths_bare(quantity: Quantity | None) -> str:
    """Write a volume worked out, to one place; the unit stands in the head."""
    return "" if quantity is None else text.number_text(_tenths(quantity.value))


def _tenths(value: Decimal) -> Decimal:
    return value.quantize(Decimal("0.1"), rounding=ROUND_HALF_EVEN)


@register.filter
def kept(pair: Sequence[str] | None) -> str:
    """Write a figure of a sheet's content with its unit, as it was typed."""
    if not pair:
        return ""
    return text.quantity_text(Quantity(Decimal(pair[0]), pair[1]))


@register.filter
def kept_bare(pair: Sequence[str] | None) -> str:
    """Write a figure of a sheet's content; its unit stands in the head."""
    return text.number_text(Decimal(pair[0])) if pair else ""


@register.filter
def kept_tenths(pair: Sequence[str] | None) -> str:
    """Write a volume of a sheet's content to one place, its unit behind it."""
    return tenths(Quantity(Decimal(pair[0]), pair[1])) if pair else ""


@register.filter
def kept_clock(moment: Mapping[str, str] | None, day: str = "") -> SafeString | str:
    """Write an instant of a sheet's content on the job's clock.

    One of another date than `day` carries its own: a night shift ends tomorrow.
    """
    if not moment:
        return ""
    date, clock, _zone = moment["local"].split(" ", 2)
    shown = clock
    if day and date != day:
        shown = f"{datetime.fromisoformat(date):%-d %b}, {clock}"
    return format_html('<time datetime="{}">{}</time>', moment["utc"], shown)
