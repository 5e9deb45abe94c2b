"""How long an unfinished face waited before more was shot against it.

"Restart gap", and not a judgement of the bond: the code's limit is about edges that
were not sloped to a thin edge.
"""

from __future__ import annotations

from datetime import datetime, timedelta
from enum import StrEnum

from inspections.domain.load_age import NO_LIMIT
from inspections.domain.spans import minutes_between, shown_minutes, span_working
from project.domain.clocks import as_span, elapsed
from project.domain.terms import Terms
from project.domain.units import Quantity, convert
from project.domain.verdict import Known, Reason, Source, State, Verdict

UNFINISHED = Source("IBC", "1908.7, unfinished work", "2018", Known.READ)
_RULE = "Elapsed time an unfinished face waited; exactly on the limit is within it"


class Edge(StrEnum):
    """How the edge of an unfinished face was left. Source: IBC 2018, 1908.7 (read).

    >>> Edge("square").value
    'square'
    """

    SLOPED = "sloped to a thin edge"
    SQUARE = "square"
    NOT_LOOKED_AT = "not looked at"


def restart_gap(
    stopped_at: datetime,
    *,
    resumed_at: datetime | None,
    terms: Terms,
    edge: Edge = Edge.NOT_LOOKED_AT,
    at: datetime | None = None,
) -> Verdict:
    """Return whether an unfinished face waited longer than the terms let it.

    Parameters
    ----------
    stopped_at, resumed_at
        Instants with a zone; nothing while the face still waits.
    terms
        Of the work date, read for `restart_gap`.
    edge
        How it was left: the limit does not bind an edge sloped to a thin edge.
    at
        The instant that is asked about while the face waits.

    Over the limit, a square edge fails and one that nobody looked at is undecided.
    Still waiting and within: not due. Without a limit undecided, "no limit given".
    Raises ValueError for an instant without a zone, an end before the stop, and where
    neither end is given. Source: IBC 2018, 1908.7 (read); a contract may say otherwise.

    >>> from datetime import UTC
    >>> from project.domain.editions import own_terms
    >>> ibc = own_terms("ibc-2018-1908", revision=1,
    ...                 effective_on=datetime(2026, 7, 1, tzinfo=UTC).date())
    >>> gap = restart_gap(datetime(2026, 8, 6, 15, 0, tzinfo=UTC), terms=ibc,
    ...                   resumed_at=datetime(2026, 8, 6, 15, 31, tzinfo=UTC),
    ...                   edge=Edge.SQUARE)
    >>> gap.state.value, gap.reasons[0].found
    ('fail', '31 min, edge square: over by 1 min')
    """
    stop = resumed_at or at
    if stop is None:
        raise ValueError("resumed_at: not given, nor an instant that is asked about")
    name = "resumed_at" if resumed_at else "at"
    if elapsed(stopped_at, stop) < timedelta():
        raise ValueError(f"{name} {stop}: before stopped_at {stopped_at}")
    limit = terms.quantity("restart_gap")
    reason = _reason(stopped_at, stop, edge, limit, terms, waits=resumed_at is None)
    return Verdict(
        reason.state,
        _RULE,
        (reason,),
        working=lambda: span_working(
            "Restart gap",
            ends=(("stopped", stopped_at), ("resumed" if resumed_at else "now", stop)),
            result="gap",
            limit=limit,
            settings=terms.used("restart_gap"),
        ),
    )


def _reason(
    stopped_at: datetime,
    stop: datetime,
    edge: Edge,
    limit: Quantity | None,
    terms: Terms,
    *,
    waits: bool,
) -> Reason:
    gap = minutes_between(stopped_at, stop)
    said = f"{shown_minutes(gap, limit)}, edge {edge}"
    if limit is None:
        asked = "the contract's limit for an unfinished face"
        found = f"{said}; {NO_LIMIT}"
        return Reason("restart gap", asked, State.UNDECIDED, found, UNFINISHED)
    late = elapsed(stopped_at, stop) > as_span(limit)
    margin = Quantity(convert(limit, to="min").value - gap.value, "min")
    off = shown_minutes(Quantity(abs(margin.value), "min"))
    left = f"over by {off}" if late else f"{off} left"
    if late and edge is Edge.SLOPED:
        left = "the limit does not bind it"
    return Reason(
        "restart gap",
        f"at most {limit}, unless the edge is sloped to a thin edge",
        _state(edge, late=late, waits=waits),
        f"{said}: {left}",
        terms.source("restart_gap"),
        limit,
        margin,
    )


def _state(edge: Edge, *, late: bool, waits: bool) -> State:
    if not late:
        return State.NOT_DUE if waits else State.PASS
    if edge is Edge.SLOPED:
        return State.PASS
    return State.FAIL if edge is Edge.SQUARE else State.UNDECIDED
