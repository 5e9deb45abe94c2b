"""What the pages of sheets are written with: a sheet's stamp, lateness, kept figures."""

from __future__ import annotations

from collections.abc import Mapping, Sequence
from datetime import datetime
from decimal import ROUND_HALF_EVEN, Decimal
from typing import Any
from zoneinfo import ZoneInfo

from django import template
from django.utils.html import format_html
from django.utils.safestring import SafeString
from django.utils.translation import gettext as _
from django.utils.translation import ngettext

from inspections.domain.load_age import MIX
from inspections.domain.spans import shown_minutes
from inspections.forms import words
from inspections.queries.evaporations import Evaporating
from inspections.queries.findings import NonconformanceRow
from inspections.queries.load_ages import LoadAge
from inspections.queries.reports import VOID, Sheet
from inspections.queries.walking import NozzleNow
from project.charts import text
from project.charts.stamps import Stamp, eligibility_stamp
from project.domain.units import Quantity
from project.domain.verdict import State
from project.templatetags.look import Zoned, stamp

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
            late = late_words(timing.late_minutes)
            return stamp("late", _("draft, %(late)s") % {"late": late})
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
    late = late_words(timing.late_minutes)
    return stamp("late", _("signed %(late)s") % {"late": late})


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


@register.simple_tag
def figure(pair: Sequence[str] | None, unit: str) -> str:
    """Write a kept figure, without its unit where the column's head has it."""
    if not pair:
        return ""
    return kept_bare(pair) if pair[1] == unit else kept(pair)


@register.filter
def common_unit(rows: Sequence[Mapping[str, Sequence[str] | None]], name: str) -> str:
    """Return the unit that every given figure of a column has, or none."""
    units = {pair[1] for row in rows if (pair := row[name])}
    return units.pop() if len(units) == 1 else ""


@register.filter
def standing_stamp(state: str) -> Stamp:
    """Give the stamp of a standing as a sheet keeps it."""
    return eligibility_stamp(State(state))


@register.filter
def round_kinds(kinds: Sequence[str]) -> str:
    """Name a walk by the moments it served."""
    return ", ".join(str(words.ROUND_KINDS[kind]) for kind in kinds)


@register.filter
def answer_words(state: str) -> str:
    """Say an answer."""
    return str(words.ANSWERS[state])


@register.filter
def severity_words(severity: str) -> str:
    """Say what a deficiency asks for."""
    return str(words.SEVERITIES[severity])


@register.filter
def move_words(move: str) -> str:
    """Name a move as its button does."""
    return str(words.MOVES[move])


@register.filter
def moved_words(move: str) -> str:
    """Say that a move was made."""
    return str(words.MOVED[move])


@register.filter
def evaporation_words(each: Evaporating | None) -> str:
    """Say which limit an estimate was held to and whose it is, or why to none."""
    if each is None:
        return ""
    reason = each.reason
    if reason is None:
        return _("no estimate: %(why)s") % {"why": each.why}
    if each.rate is None or reason.limit is None:
        return _("no limit given") if each.rate else reason.found
    own = each.mix.evaporation is not None
    said = _("mix limit %(limit)s") if own else _("contract limit %(limit)s")
    return said % {"limit": text.quantity_text(reason.limit)}


@register.filter
def age_minutes(age: LoadAge | None) -> str:
    """Give a load's minutes from batching to its last shot, where both are known."""
    minutes = None if age is None else age.minutes
    return "" if minutes is None else text.number_text(minutes.value)


@register.filter
def age_words(age: LoadAge | None) -> str:
    """Say how a load's age stands to its limit; nothing where it has none."""
    if age is None or age.minutes is None:
        return ""
    margin = age.reason.margin
    if margin is None:
        return _("no limit given")
    off = text.quantity_text(shown_minutes(Quantity(abs(margin.value), "min")))
    words = _("over by %(time)s") if margin.value < 0 else _("%(time)s left")
    return words % {"time": off}


@register.filter
def age_limit(age: LoadAge | None) -> str:
    """Say which limit a load's age was held to, and whose it is."""
    if age is None or age.reason.limit is None:
        return ""
    return _whose_limit(age.reason.limit, of_mix=age.mix_limit is not None)


@register.filter
def running_limit(nozzle: NozzleNow) -> str:
    """Say which limit the load being shot will be held to, or that there is none."""
    limit = nozzle.limit
    if limit is None:
        return _("no limit given")
    return _whose_limit(limit.most, of_mix=limit.source == MIX)


def _whose_limit(limit: Quantity, *, of_mix: bool) -> str:
    words = _("mix limit %(limit)s") if of_mix else _("contract limit %(limit)s")
    return words % {"limit": text.quantity_text(limit)}


@register.filter
def test_figures(load: Mapping[str, Sequence[Mapping[str, Any]]], kind: str) -> str:
    """Give the figures of one kind of fresh test, a retest behind a stroke."""
    return " / ".join(kept(t["value"]) for t in load["tests"] if t["kind"] == kind)


@register.filter
def serial(code: str) -> int:
    """Return the number in a record's code: PH-007 gives 7."""
    return int(code.rpartition("-")[2])


@register.simple_tag
def figure_tenths(pair: Sequence[str] | None, unit: str) -> str:
    """Write a kept volume to one place; the unit stands in the head where it can."""
    if not pair:
        return ""
    volume = Quantity(Decimal(pair[0]), pair[1])
    return tenths_bare(volume) if volume.unit == unit else tenths(volume)


@register.filter
def sum_of(rows: Sequence[Mapping[str, Sequence[str] | None]], name: str) -> str:
    """Add a column up where its figures share a unit; else nothing is added."""
    if not common_unit(rows, name):
        return ""
    return text.number_text(
        sum(Decimal(pair[0]) for row in rows if (pair := row[name]))
    )


@register.filter
def delivered(loads: Sequence[Mapping[str, Any]]) -> str:
    """Return what was accepted of the loads of a signed content, without its unit."""
    return sum_of([load for load in loads if load["accepted"]], "volume")


@register.filter
def count_of(rounds: Sequence[Mapping[str, Mapping[str, int]]], state: str) -> int:
    """Add the walks' counts of one answer up."""
    return sum(row["counts"].get(state, 0) for row in rounds)


@register.filter
def strong_count(count: int) -> SafeString | int:
    """Write a count that somebody should see in bold."""
    return format_html("<b>{}</b>", count) if count else count


@register.filter
def nth(values: Sequence[object], place: int) -> object:
    """Return one of a row's values by its place; nothing beyond the last."""
    return values[place] if place < len(values) else ""


@register.filter
def yesno_url(shown: object, url: str) -> str:
    """Return the address where the act is the member's to do, else nothing."""
    return url if shown else ""


@register.simple_tag
def deficiency_stamp(state: str) -> SafeString:
    """Stamp how a deficiency or a nonconformance report stands."""
    if state == "closed":
        return stamp("closed")
    if state == "became a nonconformance":
        return stamp("closed", _("became a report"))
    said = {"corrected": _("corrected, look again"), "notified": _("open, told")}
    return stamp("open", said.get(state, ""))


@register.simple_tag
def nonconformance_stamp(
    row: NonconformanceRow, now: datetime, job: Zoned
) -> SafeString:
    """Stamp how a report stands; one past its answer's day says how late it is."""
    if not row.is_open:
        return stamp("closed")
    today = now.astimezone(ZoneInfo(job.zone)).date()
    if row.response_due is not None and row.response_due < today:
        late = days_long((today - row.response_due).days)
        return stamp("late", _("open, answer %(late)s late") % {"late": late})
    return stamp("open", _("open, nobody told") if row.state == "raised" else "")


@register.filter
def reading_sets(lines: Sequence[Any]) -> list[dict[str, Any]]:
    """Set readings of one kind, time, part, means and unit together, in their order."""
    sets: dict[tuple[str, ...], dict[str, Any]] = {}
    for line in lines:
        said = line.said
        names = ("kind", "part", "means")
        key = (
            *(said[name] for name in names),
            said["at"]["utc"],
            said["value"][1],
        )
        sets.setdefault(key, {"said": said, "lines": []})["lines"].append(line)
    return list(sets.values())
