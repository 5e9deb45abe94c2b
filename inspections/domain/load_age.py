"""How old a load was at its last shot, against the limit that somebody gave.

There is no built-in limit: ASTM C94 had 90 minutes until its edition of 2021 left it
to the purchaser, else the producer. The mix revision's own limit comes first, then the
contract's; with neither, the age is on record and nothing is judged. The same holds for
damp dry-mix, from damp sand meeting cement to the last of it shot.
"""

from __future__ import annotations

from collections.abc import Sequence
from dataclasses import dataclass
from datetime import datetime, timedelta

from inspections.domain.spans import (
    minutes_between,
    shown_minutes,
    span_working,
)
from project.domain.clocks import as_span, elapsed, in_utc, on_the_clock
from project.domain.terms import Terms
from project.domain.units import Quantity, convert
from project.domain.verdict import Known, Reason, Source, State, Verdict
from project.domain.working import Named, Step

C94 = Source(
    "ASTM C94/C94M",
    "the purchaser states a limit, else the producer; printed on the ticket",
    "2021",
    Known.READ,
)
C94_WAIVER = Source(
    "ASTM C94/C94M", "the purchaser may waive it if still placeable", "2012", Known.READ
)
ORDER = Source("the mix revision first, then the contract", known=Known.PROJECT)
MIX = Source("mix revision", known=Known.CONTRACT)
NO_LIMIT = "no limit given"
_RULE = "Elapsed time from batching to the last shot; exactly on the limit is within it"


@dataclass(frozen=True, slots=True)
class AgeLimit:
    """The limit a load is held to, and whose it is.

    Raises ValueError unless it is a time above zero. Source: `ORDER`.

    >>> from decimal import Decimal
    >>> AgeLimit(Quantity(Decimal(0), "min"), MIX)
    Traceback (most recent call last):
    ValueError: limit 0 min: allowed is a time above 0
    """

    most: Quantity
    source: Source

    def __post_init__(self) -> None:
        if self.most.dimension != "time" or self.most.value <= 0:
            raise ValueError(f"limit {self.most}: allowed is a time above 0")


@dataclass(frozen=True, slots=True)
class Waiver:
    """Who waived the limit for one load, and when that was written down.

    Raises ValueError for an instant without a zone. Source: `C94_WAIVER`.

    >>> from datetime import UTC
    >>> Waiver(datetime(2026, 8, 25, 15, 30, tzinfo=UTC), "the engineer").by
    'the engineer'
    """

    recorded_at: datetime
    by: str

    def __post_init__(self) -> None:
        in_utc(self.recorded_at, name="recorded_at")


def age_limit(mix_limit: Quantity | None, *, terms: Terms | None) -> AgeLimit | None:
    """Return the limit of a load's age in the settled order, or nothing.

    Parameters
    ----------
    mix_limit
        The mix revision's own [time], where it has one.
    terms
        The contract's, read for `load_age`; nothing where none are in force.

    Raises ValueError for a limit that is no time above zero. Source: project's choice
    of order; the values are the mix revision's and the contract's.

    >>> age_limit(None, terms=None)
    >>> from decimal import Decimal
    >>> str(age_limit(Quantity(Decimal(90), "min"), terms=None).source)
    'mix revision (contract)'
    """
    if mix_limit is not None:
        return AgeLimit(mix_limit, MIX)
    most = None if terms is None else terms.quantity("load_age")
    if terms is None or most is None:
        return None
    return AgeLimit(most, terms.source("load_age"))


def load_age(
    batched_at: datetime | None,
    *,
    last_shot_at: datetime | None,
    terms: Terms | None,
    mix_limit: Quantity | None = None,
    ticket_limit: Quantity | None = None,
    waivers: Sequence[Waiver] = (),
) -> Verdict:
    """Return whether a load was shot out in time.

    Parameters
    ----------
    batched_at, last_shot_at
        Instants with a zone; nothing where they are not known.
    terms
        Of the work date, read for `load_age` and `load_age_waivable`.
    mix_limit
        The mix revision's own limit [time], which comes before the contract's.
    ticket_limit
        What the ticket prints [time]: shown beside it, and never decides.
    waivers
        All that were written down; one counts only before the last shot.

    Within: pass. Over: fail, or a condition where a waiver counts. Without a limit
    undecided, "no limit given"; without a time no data, and not due while the load is
    being shot. Times that contradict each other are undecided. Raises ValueError for an
    instant without a zone. Source: ASTM C94-21 (read) names no limit of its own;
    elapsed time is a difference in UTC.

    >>> from datetime import UTC
    >>> from decimal import Decimal
    >>> late = load_age(datetime(2026, 8, 25, 14, 2, tzinfo=UTC),
    ...                 last_shot_at=datetime(2026, 8, 25, 15, 54, tzinfo=UTC),
    ...                 terms=None, mix_limit=Quantity(Decimal(90), "min"))
    >>> late.state.value, late.reasons[0].found, str(late.reasons[0].margin)
    ('fail', '112 min: over by 22 min', '-22 min')
    """
    if batched_at is None or last_shot_at is None:
        return _not_known(batched_at, last_shot_at)
    if elapsed(batched_at, last_shot_at) < timedelta():
        found = "the last shot lies before batching"
        return _alone(State.UNDECIDED, found)
    limit = age_limit(mix_limit, terms=terms)
    reasons = [_age(batched_at, last_shot_at, limit)]
    if ticket_limit is not None:
        reasons.append(_ticket(batched_at, last_shot_at, ticket_limit))
    state = reasons[0].state
    if waivers:
        waived = _waived(waivers, last_shot_at, terms)
        if state is State.FAIL and waived.state is not State.FAIL:
            state = waived.state
        reasons.append(waived)

    named = [("mix_limit", mix_limit), ("ticket_limit", ticket_limit)]
    return Verdict(
        state,
        _RULE,
        tuple(reasons),
        working=lambda: span_working(
            "Age of the load at its last shot",
            ends=(("batched", batched_at), ("last shot", last_shot_at)),
            result="age",
            limit=None if limit is None else limit.most,
            inputs=tuple(Named(name, most) for name, most in named if most),
            more=(Step("whose limit", _whose(limit), ORDER),),
            settings=()
            if terms is None
            else terms.used("load_age", "load_age_waivable"),
        ),
    )


def _whose(limit: AgeLimit | None) -> str:
    if limit is None:
        return f"{NO_LIMIT} by the mix revision or the contract"
    return f"{limit.most}, {limit.source}"


def _not_known(batched_at: datetime | None, last_shot_at: datetime | None) -> Verdict:
    if batched_at is None:
        return _alone(State.NO_DATA, "no batching time")
    in_utc(batched_at, name="batched_at")
    return _alone(State.NOT_DUE, "no last shot yet")


def _alone(state: State, found: str) -> Verdict:
    asked = "the time from batching to the last shot"
    return Verdict(state, _RULE, (Reason("load age", asked, state, found, C94),))


def _age(
    batched_at: datetime, last_shot_at: datetime, limit: AgeLimit | None
) -> Reason:
    age = minutes_between(batched_at, last_shot_at)
    if limit is None:
        asked = "the mix revision's limit, else the contract's"
        found = f"{shown_minutes(age)}; {NO_LIMIT}"
        return Reason("load age", asked, State.UNDECIDED, found, C94)
    late = elapsed(batched_at, last_shot_at) > as_span(limit.most)
    return Reason(
        "load age",
        f"at most {limit.most} from batching to the last shot",
        State.FAIL if late else State.PASS,
        _found(age, limit.most),
        limit.source,
        limit.most,
        _margin(age, limit.most),
    )


def _ticket(batched_at: datetime, last_shot_at: datetime, most: Quantity) -> Reason:
    age = minutes_between(batched_at, last_shot_at)
    AgeLimit(most, C94)  # refuses what is no time
    return Reason(
        "ticket",
        f"the ticket prints {most}; it does not decide",
        State.INFORMATION,
        _found(age, most),
        C94,
        most,
        _margin(age, most),
    )


def _margin(age: Quantity, most: Quantity) -> Quantity:
    return Quantity(convert(most, to="min").value - age.value, "min")


def _found(age: Quantity, most: Quantity) -> str:
    shown, left = shown_minutes(age, most), _margin(age, most)
    off = shown_minutes(Quantity(abs(left.value), "min"))
    return f"{shown}: over by {off}" if left.value < 0 else f"{shown}: {off} left"


def _waived(
    waivers: Sequence[Waiver], last_shot_at: datetime, terms: Terms | None
) -> Reason:
    """Return what the waivers are worth: a condition, a refusal, or undecided."""
    may_be = None if terms is None else terms.flag("load_age_waivable")
    in_time = [w for w in waivers if elapsed(w.recorded_at, last_shot_at) > timedelta()]
    if not in_time:
        state, said = State.FAIL, "too late"
    elif may_be is None:
        state, said = State.UNDECIDED, "the terms do not say whether it may be waived"
    elif not may_be:
        state, said = State.FAIL, "the terms allow no waiver"
    else:
        state, said = State.CONDITION, "waived before the last shot"
    told = ", ".join(f"{w.by} {on_the_clock(w.recorded_at)}" for w in waivers)
    found = f"{said}: {told}; last shot {on_the_clock(last_shot_at)}"
    asked = "a waiver is written down before the load's last shot"
    return Reason("waiver", asked, state, found, C94_WAIVER)
