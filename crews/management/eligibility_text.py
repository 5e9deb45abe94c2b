"""Who is qualified on record, for a terminal of eighty columns and for machines."""

from __future__ import annotations

import textwrap
from collections.abc import Iterator
from typing import Any

from crews.queries.matrix import Matrix, MatrixRow, Standing
from project.domain.clocks import on_the_clock
from project.domain.frozen import frozen
from project.domain.verdict import Reason
from project.models import Job

_WIDTH = 80


def as_plain(job: Job, table: Matrix) -> dict[str, Any]:
    """Return the answers as JSON's own kinds, every gate with its evidence."""
    return {
        "job": job.code,
        "at": job.local(table.as_of).isoformat(),
        "known_at": job.local(table.known_at).isoformat(),
        "parts": [_plain_part(job, table, row) for row in table.rows],
    }


def _plain_part(job: Job, table: Matrix, row: MatrixRow) -> dict[str, Any]:
    names = {person.code: person.operator.legal_name for person in table.people}
    return {
        "part": row.code,
        "position": row.part.position,
        "mix": "" if row.mix is None else str(row.mix),
        "operators": [
            {
                "operator": one.code,
                "name": names[one.code],
                "words": one.words,
                **frozen(one.verdict),
            }
            for one in row.standings
        ],
    }


def as_text(job: Job, table: Matrix) -> str:
    """Return one paragraph for each part and operator, every open gate below it."""
    at, known = (
        on_the_clock(job.local(instant).replace(second=0, microsecond=0))
        for instant in (table.as_of, table.known_at)
    )
    told = [*_wrapped(f"{job.code}: qualified on record as of {at}, as known {known}")]
    names = {person.code: person.operator.legal_name for person in table.people}
    for row in table.rows:
        mix = row.mix or "no mix"
        told += ["", *_wrapped(f"{row.code}, {row.part.position}, {mix}, by hand")]
        if not row.standings:
            told += _wrapped("no operator has a place on this job as known then", "  ")
        for one in row.standings:
            told += _wrapped(f"{one.code} {names[one.code]}: {one.words}", "  ")
            told += _grounds(job, one)
    return "\n".join(told)


def _grounds(job: Job, one: Standing) -> Iterator[str]:
    for reason in one.verdict.unmet:
        yield from _wrapped(_told(reason), "    ")
    until = one.verdict.holds_until
    if until is not None:
        ends = on_the_clock(job.local(until).replace(second=0, microsecond=0))
        yield from _wrapped(f"until {ends}: {one.verdict.ends_because}", "    ")


def _told(reason: Reason) -> str:
    return f"{reason.key}: {reason.found}"


def _wrapped(words: str, indent: str = "") -> list[str]:
    return textwrap.wrap(
        words,
        _WIDTH,
        initial_indent=indent,
        subsequent_indent=f"{indent}  ",
        break_on_hyphens=False,
    )
