"""What templates are written with: stamps, icons, codes, figures, units and times."""

from __future__ import annotations

from collections.abc import Mapping
from datetime import date, datetime
from decimal import Decimal
from typing import Protocol

from django import template
from django.utils.html import format_html
from django.utils.safestring import SafeString
from django.utils.translation import gettext, gettext_noop

from project.charts import text
from project.charts.stamps import (
    Stamp,
    eligibility_stamp,
    gate_icon,
    stamp_named,
    strength_stamp,
)
from project.charts.svg import icon_svg, svg
from project.domain.term_kinds import TERM_KINDS
from project.domain.units import Quantity
from project.domain.verdict import State, Verdict
from project.domain.working import Step

register = template.Library()

_GATE_WORDS = {
    State.PASS: gettext_noop("met"),
    State.CONDITION: gettext_noop("met under a condition"),
    State.FAIL: gettext_noop("not met"),
    State.INFORMATION: gettext_noop("for information"),
    State.INCOMPLETE: gettext_noop("not enough yet"),
    State.NOT_ENOUGH_YET: gettext_noop("not enough yet"),
    State.NOT_DUE: gettext_noop("not due"),
    State.NOT_TESTABLE: gettext_noop("not testable"),
    State.NO_DATA: gettext_noop("nothing on record"),
    State.UNDECIDED: gettext_noop("undecided"),
}

register.simple_tag(svg, name="drawing")
register.filter("brief", text.brief)


class Zoned(Protocol):
    """Whatever knows the zone its times are shown in: a job."""

    @property
    def zone(self) -> str: ...


@register.simple_tag
def icon(name: str, css_class: str = "") -> SafeString:
    """Draw an icon in the ink of the words beside it."""
    return icon_svg(name, css_class=css_class)


@register.simple_tag
def stamp(kind: str | Stamp, words: object = "", size: str = "") -> SafeString:
    """Stamp a conclusion: {% stamp "late" "14 days late" %}; size "small" or "large".

    A small stamp shows the icon alone and may stand only where its legend is printed
    on the same sheet; its whole word stays its accessible name.
    """
    chosen = kind if isinstance(kind, Stamp) else stamp_named(kind)
    said = str(words) if words else gettext(chosen.word)
    classes = f"stamp stamp-{chosen.frame}"
    if size not in ("", "small", "large"):
        raise ValueError(f"size {size!r}: allowed are small, large or none")
    drawn = icon_svg(chosen.icon)
    if size == "small":
        return small_stamp(chosen, said, drawn)
    if size:
        classes += " stamp-large"
    return format_html(
        '<span class="{}">{}<span class="stamp-word">{}</span></span>',
        classes,
        drawn,
        said,
    )


def small_stamp(chosen: Stamp, said: str, drawn: SafeString) -> SafeString:
    """Frame an icon as a small stamp whose word is its accessible name."""
    return format_html(
        '<span class="stamp stamp-{} stamp-small" role="img" aria-label="{}">{}</span>',
        chosen.frame,
        said,
        drawn,
    )


@register.filter
def eligibility(verdict: Verdict | State) -> Stamp:
    """Give the stamp of an operator's standing: {% stamp verdict|eligibility %}."""
    return eligibility_stamp(_state(verdict))


@register.filter
def strength(verdict: Verdict | State) -> Stamp:
    """Give the stamp of a set, a panel or a reading: {% stamp verdict|strength %}."""
    return strength_stamp(_state(verdict))


@register.filter
def gate(state: State) -> str:
    """Give the icon of one reason: {% icon reason.state|gate %}."""
    return gate_icon(state)


@register.filter
def term_label(name: str) -> str:
    """Give a contract term's words as its form has them: {{ used.term|term_label }}."""
    kind = TERM_KINDS.get(name)
    return name if kind is None else kind.label


@register.filter
def gate_word(state: State) -> str:
    """Say one reason's icon aloud, for readers who do not see it."""
    return gettext(_GATE_WORDS[state])


def _state(verdict: Verdict | State) -> State:
    return verdict.state if isinstance(verdict, Verdict) else verdict


@register.simple_tag
def code(value: object) -> SafeString:
    """Set a record's code so that it never parts at its hyphen."""
    return format_html('<span class="code">{}</span>', value)


@register.simple_tag
def when(moment: datetime | date | None, job: Zoned | str = "", form: str = "") -> str:
    """Write a date, or an instant in a job's zone; an empty one writes nothing.

    Forms: date, day, short, time, full, zone; see project.charts.text.when_text.
    """
    if moment is None or moment == "":
        return ""
    zone = job if isinstance(job, str) else job.zone
    shown = text.when_text(moment, zone=zone, form=form)
    return format_html('<time datetime="{}">{}</time>', moment.isoformat(), shown)


@register.simple_tag
def quantity(value: Quantity | Decimal | int | None, unit: str = "") -> str:
    """Write a figure with its unit: {% quantity load.volume load.volume_unit %}."""
    if value is None or value == "":
        return ""
    whole = value if isinstance(value, Quantity) else Quantity(Decimal(value), unit)
    return format_html('<span class="figure">{}</span>', text.quantity_text(whole))


@register.simple_tag
def number(value: Decimal | int | None) -> str:
    """Write a figure whose unit stands in the head of its column."""
    return "" if value is None or value == "" else text.number_text(value)


@register.filter
def unit(name: str) -> str:
    """Write a unit's sign: {{ "yd3"|unit }}."""
    return text.unit_text(name)


register.filter("signed", text.signed_units)
register.filter("strength_in", text.strength_text)


@register.filter
def reckoning(step: Step) -> str:
    """Give a step's line up to its last equals sign; the result stands at the edge."""
    return text.signed_units(step.line.rpartition(" = ")[0] or step.line)


@register.filter
def result(step: Step) -> str:
    """Give what stands behind a step's last equals sign, or nothing."""
    head, _, tail = step.line.rpartition(" = ")
    return text.signed_units(tail) if head else ""


@register.filter
def at(table: Mapping[object, object] | None, key: object) -> object:
    """Look a key up in a mapping: {{ urls|at:ref.id }}; nothing where it is absent."""
    return table.get(key, "") if table else ""


@register.filter
def times(count: int) -> range:
    """Count out blank ruled rows."""
    return range(int(count))
