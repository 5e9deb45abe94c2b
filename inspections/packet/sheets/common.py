"""What the sections share: how one opens, and how emptiness and reasons are printed."""

from __future__ import annotations

from collections.abc import Iterable
from dataclasses import dataclass

from django.utils.translation import gettext as _

from inspections.packet.columns import Cell, Column
from inspections.packet.flow import Flow
from inspections.packet.shape import Mark, Verdict
from inspections.packet.table import table
from project.domain.verdict import State

# A section starts on the page before it when so much of that page is left for it: less
# when it only says that nothing happened.
_ENOUGH, _ENOUGH_FOR_NOTHING = 260.0, 110.0


@dataclass(frozen=True, slots=True)
class Section:
    """One section of the packet: its place, its bookmark and its name."""

    number: int
    key: str
    title: str


def open_section(
    flow: Flow,
    section: Section,
    *,
    label: str,
    facts: list[tuple[str, str]],
    fresh: bool = False,
    nothing: bool = False,
) -> None:
    """Draw a section's head, on a new page or below the section before it."""
    if fresh or flow.room < (_ENOUGH_FOR_NOTHING if nothing else _ENOUGH):
        flow.start_page(section.title)
    else:
        flow.skip(30)
        flow.run_on_as(section.title)
    flow.sheet_head(
        label=label,
        title=section.title,
        facts=facts,
        box=(_("Section"), str(section.number)),
        key=section.key,
    )
    flow.outline(section.title, section.key)


def stamp(mark: Mark | None) -> Cell | None:
    """Return the cell of a stamp."""
    return Cell(stamp=(mark["stamp"], mark["words"])) if mark else None


def state_words(state: str) -> str:
    """Return how a reason stands, in words."""
    words = {
        State.PASS: _("met"),
        State.CONDITION: _("under a condition"),
        State.FAIL: _("not met"),
        State.UNDECIDED: _("undecided"),
        State.INCOMPLETE: _("incomplete"),
        State.NOT_ENOUGH_YET: _("not enough yet"),
        State.NOT_DUE: _("not due"),
        State.NOT_TESTABLE: _("not testable"),
        State.NO_DATA: _("no data"),
        State.INFORMATION: _("for information"),
    }
    return words[State(state)]


def reasons(flow: Flow, verdict: Verdict) -> None:
    """Print every reason of a verdict, the met ones too."""
    columns = [
        Column(_("Requirement"), grow=4),
        Column(_("Found"), grow=4),
        Column(_("Limit"), right=True),
        Column(_("Margin"), right=True),
        Column(_("Stands"), most=0.2),
    ]
    rows = [
        (
            Cell(reason["requirement"], second=reason["source"]),
            Cell(reason["found"], second=joined(reason["evidence"])),
            reason["limit"],
            reason["margin"],
            Cell(state_words(reason["state"]), bold=reason["state"] == State.FAIL),
        )
        for reason in verdict["reasons"]
    ]
    table(flow, columns, rows)


def joined(words: Iterable[str]) -> str:
    """Return the words there are, parted by commas."""
    return ", ".join(word for word in words if word)
