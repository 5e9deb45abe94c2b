"""Thickness by its readings: the least decides, and the mean decides beside it.

A low spot fails under a good mean, and a thin face fails without any one low spot.
"""

from __future__ import annotations

from collections.abc import Iterator, Sequence
from dataclasses import dataclass
from decimal import Decimal

from project.domain.reporting import REPORT_STEPS, reported, rounding_words
from project.domain.showing import beside
from project.domain.term_kinds import MEAN_NOT_ASKED
from project.domain.terms import Terms
from project.domain.units import Quantity, convert
from project.domain.verdict import Known, Reason, Source, State, Verdict, worst
from project.domain.working import Named, Step, Working

BOTH_DECIDE = Source(
    "least and mean thickness both decide",
    known=Known.PRACTICE,
)
ARITHMETIC = Source("arithmetic", known=Known.DERIVED)
NO_LIMIT = "no limit given"
_RULE = "Thickness by its readings, least and mean; exactly on a limit is within it"


@dataclass(frozen=True, slots=True)
class Thickness:
    """A placement's thickness: as designed, and as read, all in the design's unit.

    `count` is how many readings there are; none where the mean was told without them.
    """

    design: Quantity
    mean: Quantity
    least: Quantity
    greatest: Quantity
    count: int

    def working(self, terms: Terms | None = None) -> Working:
        """Return how the mean came about."""
        line = f"mean of {self.count} readings = {reported(self.mean)}"
        return Working(
            title="Mean thickness",
            inputs=(
                Named("design", self.design),
                Named("least reading", self.least),
                Named("greatest reading", self.greatest),
            ),
            steps=(Step("mean", line, ARITHMETIC),),
            exact=self.mean,
            reported=reported(self.mean),
            rounding=rounding_words(self.mean.unit),
            settings=() if terms is None else terms.used(*SETTINGS),
        )


SETTINGS = ("thickness_low", "thickness_high", "thickness_mean")


def thickness_of(design: Quantity, *, readings: Sequence[Quantity]) -> Thickness | None:
    """Return what readings say of a thickness; nothing where none were taken.

    Parameters
    ----------
    design
        As drawn [length], above 0.
    readings
        As taken [length], each above 0, in whatever unit.

    Raises ValueError naming what is no length above 0. Source: arithmetic.

    >>> nine, low = Quantity(Decimal(9), "in"), Quantity(Decimal("8.9"), "in")
    >>> print(thickness_of(nine, readings=[low, Quantity(Decimal("9.5"), "in")]).mean)
    9.2 in
    """
    _check("design", design)
    for reading in readings:
        _check("readings", reading)
    if not readings:
        return None
    values = [convert(reading, to=design.unit).value for reading in readings]
    mean, least, greatest = (
        sum(values, Decimal(0)) / len(values),
        min(values),
        max(values),
    )
    unit = design.unit
    return Thickness(
        design,
        mean=Quantity(mean, unit),
        least=Quantity(least, unit),
        greatest=Quantity(greatest, unit),
        count=len(values),
    )


def _check(name: str, given: Quantity) -> None:
    if given.dimension != "length" or given.value <= 0:
        raise ValueError(f"{name} {given}: a length above 0 is needed")


def judge_thickness(read: Thickness | None, *, terms: Terms | None) -> Verdict:
    """Return how a thickness stands: its least reading, its mean, its greatest.

    Parameters
    ----------
    read
        What the readings say; nothing where none were taken.
    terms
        Read for `thickness_low` and `thickness_high`, how far a reading may lie from
        the design, and for `thickness_mean`.

    Without readings: no data. A least deviation nobody gave: undecided, "no limit
    given"; a greatest nobody gave asks nothing. Exactly on a limit is within it.
    Source: least and mean both decide (common practice, no source); the deviations
    are the contract's, and there is no default.

    >>> judge_thickness(None, terms=None).state
    <State.NO_DATA: 'no data'>
    """
    if read is None:
        asked = "readings of the thickness"
        none = Reason("readings", asked, State.NO_DATA, "no readings", BOTH_DECIDE)
        return Verdict(State.NO_DATA, _RULE, (none,))
    reasons = tuple(_reasons(read, terms))
    return Verdict(worst(reasons), _RULE, reasons, working=lambda: read.working(terms))


def _reasons(read: Thickness, terms: Terms | None) -> Iterator[Reason]:
    low = _deviation("thickness_low", read, terms)
    yield _least(read, low, terms)
    yield _mean(read, terms)
    high = _deviation("thickness_high", read, terms)
    if high is not None and terms is not None:
        source = terms.source("thickness_high")
        yield _held("greatest reading", read.greatest, high, source, least=False)


def _deviation(name: str, read: Thickness, terms: Terms | None) -> Quantity | None:
    """Return the design with a deviation added; nothing where none is given."""
    off = None if terms is None else terms.quantity(name)
    if off is None:
        return None
    here = convert(off, to=read.design.unit).value
    return Quantity(read.design.value + here, read.design.unit)


def _least(read: Thickness, limit: Quantity | None, terms: Terms | None) -> Reason:
    if limit is None or terms is None:
        found = f"{reported(read.least)}; {NO_LIMIT}"
        key, state = "least reading", State.UNDECIDED
        return Reason(key, NO_LIMIT, state, found, BOTH_DECIDE)
    source = terms.source("thickness_low")
    return _held("least reading", read.least, limit, source, least=True)


def _mean(read: Thickness, terms: Terms | None) -> Reason:
    asked = None if terms is None else terms.choice("thickness_mean")
    if asked is None or terms is None:
        found = f"{reported(read.mean)}; the contract does not say whether it counts"
        return Reason("mean", NO_LIMIT, State.UNDECIDED, found, BOTH_DECIDE)
    source = terms.source("thickness_mean")
    if asked == MEAN_NOT_ASKED:
        found = f"{reported(read.mean)} of {read.count} readings"
        return Reason("mean", asked, State.INFORMATION, found, source)
    return _held("mean", read.mean, read.design, source, least=True)


def _held(
    key: str, value: Quantity, limit: Quantity, source: Source, *, least: bool
) -> Reason:
    room = value.value - limit.value if least else limit.value - value.value
    step = REPORT_STEPS[limit.unit]
    places = max(-int(step.as_tuple().exponent), 0)
    shown = beside(value.value, limit.value, places=places)
    out = room < 0
    word = ("below" if least else "above") if out else "within"
    return Reason(
        key=key,
        requirement=f"{'not below' if least else 'not above'} {limit}",
        state=State.FAIL if out else State.PASS,
        found=f"{shown} {limit.unit}, {word}",
        source=source,
        limit=limit,
        margin=Quantity(room, limit.unit),
    )
