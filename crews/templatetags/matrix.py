"""The squares of a row of operators by parts: a table has thousands of them.

They are put together a row at a time: with a template's tags for each square the page
took twice as long (`tests/bench/test_matrix_page.py`).
"""

from __future__ import annotations

from collections.abc import Sequence
from datetime import date
from functools import lru_cache
from typing import Protocol

from django import template
from django.utils.formats import date_format
from django.utils.html import format_html, format_html_join
from django.utils.safestring import SafeString
from django.utils.translation import get_language, gettext

from crews.queries.operators import Standing
from project.domain.verdict import State
from project.templatetags.look import eligibility, stamp

register = template.Library()


class Square(Protocol):
    """The answer, when it ends, where it leads, and whether it is the one read."""

    standing: Standing
    ends: date | None
    url: str
    chosen: bool


@register.simple_tag
def squares(part: str, cells: Sequence[Square]) -> SafeString:
    """Draw the squares of a part's row: {% squares row.code line.cells %}."""
    language, named = get_language(), format_html("{}", part)
    drawn = ((_square(named, cell, language),) for cell in cells)
    return format_html_join("", "{}", drawn)


def _square(part: SafeString, cell: Square, language: str | None) -> SafeString:
    # Of all the pieces only the address is new: it alone is escaped here.
    return format_html(
        '<td><a class="cell" href="{}"{}><span class="unseen">{}, {}{}</a></td>',
        cell.url,
        _current() if cell.chosen else "",
        part,
        _answered(cell.standing.code, cell.standing.state, language),
        _ends(cell.ends) if cell.ends else "",
    )


def _current() -> SafeString:
    return format_html(' aria-current="{}"', "true")


@lru_cache(maxsize=1024)
def _answered(code: str, state: State, _language: str | None) -> SafeString:
    """Draw an operator's stamp once for each state, in the page's language."""
    drawn = stamp(eligibility(state), "", "small")
    return format_html("{}:</span> {}", code, drawn)


def _ends(last_day: date) -> SafeString:
    told = gettext("to %(last_day)s") % {"last_day": date_format(last_day, "j M")}
    return format_html(' <span class="ends">{}</span>', told)
