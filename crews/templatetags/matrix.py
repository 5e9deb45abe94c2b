"""The rows of operators by parts: a table has thousands of squares.

They are put together a row at a time: a template's tags for each square would take the
longest of everything the page does.
"""

from __future__ import annotations

from collections.abc import Hashable, Iterable, Sequence
from datetime import date
from functools import lru_cache
from typing import Protocol

from django import template
from django.utils.formats import date_format
from django.utils.html import format_html, format_html_join
from django.utils.http import urlencode
from django.utils.safestring import SafeString
from django.utils.translation import get_language, gettext

from crews.queries.folding import Fold
from project.charts.stamps import eligibility_stamp
from project.charts.svg import icon_again, icon_symbols
from project.domain.verdict import State
from project.templatetags.look import code, small_stamp

register = template.Library()


class Cell(Hashable, Protocol):
    """An operator's answer, and its last day if that is soon."""

    code: str
    state: State
    ends: date | None


class Line(Protocol):
    """Folded rows, where their squares lead but for the operator, and whose is read."""

    fold: Fold
    url: str
    cells: tuple[Cell, ...]
    chosen: str


@register.simple_tag
def fold_name(codes: Sequence[str]) -> SafeString:
    """Name folded rows, one, two, or the first to the last: {% fold_name fold.codes %}."""
    if len(codes) > 2:
        ends = {"first": codes[0], "last": codes[-1]}
        return format_html("{}", gettext("%(first)s to %(last)s") % ends)
    return format_html_join(", ", "{}", ((code(one),) for one in codes))


@register.simple_tag
def square_icons() -> SafeString:
    """Draw once what the squares show: {% square_icons %} before the first table."""
    kinds = map(eligibility_stamp, State)
    return icon_symbols(dict.fromkeys(kind.icon for kind in kinds))


@register.simple_tag
def part_rows(lines: Iterable[Line]) -> SafeString:
    """Draw the rows of the parts: {% part_rows lines %}."""
    language, none = get_language(), gettext("none")
    drawn = ((_row(line, language, none),) for line in lines)
    return format_html_join("", "{}", drawn)


def _row(line: Line, language: str | None, none: str) -> SafeString:
    first = line.fold.first
    mix = "" if first.mix is None else str(first.mix)
    return format_html(
        _drawn(line.cells, line.chosen, language),
        head=_head(line.fold.codes, first.part.position, mix, language),
        url=line.url,
        part=first.code,
        count=line.fold.count or none,
    )


@lru_cache(maxsize=2048)
def _head(
    codes: tuple[str, ...], position: str, mix: str, _language: str | None
) -> SafeString:
    name, mix = fold_name(codes), mix or gettext("no mix")
    return format_html('{} <span class="second">{} {}</span>', name, position, mix)


@lru_cache(maxsize=512)
def _drawn(cells: tuple[Cell, ...], chosen: str, _language: str | None) -> str:
    """Return the format of the rows that have these answers.

    Left open in it are {head} and {count}, and in each square {url} and {part}.
    """
    squares = "".join([_square(cell, cell.code == chosen) for cell in cells])
    return (
        f'<tr><th class="part" scope="row">{{head}}</th>{squares}'
        '<td class="count">{count}</td></tr>'
    )


def _square(cell: Cell, chosen: bool) -> str:
    operator = urlencode({"operator": cell.code})
    current = format_html(' aria-current="{}"', "true") if chosen else ""
    to = format_html('&amp;{}#answer"{}', operator, current)
    kind = eligibility_stamp(cell.state)
    drawn = small_stamp(kind, gettext(kind.word), icon_again(kind.icon))
    until = "" if cell.ends is None else _until(cell.ends)
    answer = format_html("{}:</span> {}{}", cell.code, drawn, until)
    return (
        f'<td><a class="cell" href="{{url}}{_shut(to)}>'
        f'<span class="unseen">{{part}}, {_shut(answer)}</a></td>'
    )


def _shut(drawn: SafeString) -> str:
    """Return what is drawn as it stands in a format: its own braces fill nothing."""
    return drawn.replace("{", "{{").replace("}", "}}")


def _until(last_day: date) -> SafeString:
    told = gettext("to %(last_day)s") % {"last_day": date_format(last_day, "j M")}
    return format_html(' <span class="ends">{}</span>', told)
