"""Early strength by points that the contract types: read between them, never beyond.

Strength over time lies near a straight line where both axes are logarithms, so points
are joined that way. No class and no line is built in: whoever wants classes types them.

This is a record of strength. It is never a time at which anybody may go back under or
beside fresh shotcrete: that is the engineer's and the site safety plan's, and no
function here computes one.
"""

from __future__ import annotations

from collections.abc import Sequence
from dataclasses import dataclass
from decimal import ROUND_HALF_EVEN, Decimal, localcontext

from project.domain.units import Quantity, convert
from project.domain.verdict import Known, Source
from project.domain.working import Named, Step, Working

CAUTION = (
    "A strength by typed lines is not a time of re-entry and says nothing of fall-out. "
    "Stay out from under fresh work until the engineer and the site safety plan say "
    "otherwise; penetrometers can read too high."
)
LOG_LOG = Source(
    "strength read between points on two logarithmic axes", known=Known.PRACTICE
)
TYPED = Source("points typed by the contract", known=Known.TYPED)
_DIGITS, _GUARD, _SHARE_DIGITS = 28, 12, 5
_ROUNDING = "to three significant digits; a class is judged unrounded"


@dataclass(frozen=True, slots=True)
class Point:
    """A strength at a time after shooting [time, pressure].

    Raises ValueError unless both are above zero and of their kind. Source: `TYPED`.

    >>> Point(Quantity(Decimal(0), "min"), Quantity(Decimal("0.2"), "MPa"))
    Traceback (most recent call last):
    ValueError: time 0 min: allowed is a time above 0
    """

    time: Quantity
    strength: Quantity

    def __post_init__(self) -> None:
        for name, kind, value in (
            ("time", "time", self.time),
            ("strength", "pressure", self.strength),
        ):
            if value.dimension != kind or value.value <= 0:
                raise ValueError(f"{name} {value}: allowed is a {kind} above 0")


@dataclass(frozen=True, slots=True)
class Line:
    """A line through two or more points whose times rise, under its name.

    Raises ValueError for fewer points and for a time that does not rise: two strengths
    at one time are no line. Source: `TYPED`.

    >>> minute = Quantity(Decimal(6), "min")
    >>> same = Point(minute, Quantity(Decimal("0.2"), "MPa"))
    >>> Line("class 2", (same, same))
    Traceback (most recent call last):
    ValueError: time 6 min: in class 2 allowed is more than 6 min, the point before
    """

    name: str
    points: tuple[Point, ...]

    def __post_init__(self) -> None:
        if len(self.points) < 2:
            raise ValueError(f"points: {len(self.points)} in {self.name}; two or more")
        for before, here in zip(self.points, self.points[1:], strict=False):
            if _minutes(here.time) <= _minutes(before.time):
                raise ValueError(
                    f"time {here.time}: in {self.name} allowed is more than "
                    f"{before.time}, the point before"
                )

    def around(self, time: Quantity) -> tuple[Point, Point]:
        """Return the two points that a time lies between, or on.

        Raises ValueError for a time before the first or after the last point.
        """
        first, last = self.points[0], self.points[-1]
        if not _minutes(first.time) <= _minutes(time) <= _minutes(last.time):
            raise ValueError(
                f"time {time}: {self.name} is given from {first.time} to {last.time}, "
                "and nothing beyond it is guessed"
            )
        pairs = zip(self.points, self.points[1:], strict=False)
        return next(pair for pair in pairs if _minutes(time) <= _minutes(pair[1].time))


def _minutes(time: Quantity) -> Decimal:
    return convert(time, to="min").value


def strength_on(line: Line, time: Quantity) -> Quantity:
    """Return the strength of a line at a time; on a point, what was typed there.

    ln f = ln f1 + (ln f2 − ln f1) (ln t − ln t1) / (ln t2 − ln t1), in the unit of the
    line's first point, to 28 digits.

    Parameters
    ----------
    line
        Points typed by the contract [time, pressure].
    time
        After shooting [time], within the line's points.

    Raises ValueError for what is no time above zero, and beyond the points. Source:
    `LOG_LOG`.

    >>> def point(minutes, mpa):
    ...     return Point(Quantity(Decimal(minutes), "min"), Quantity(Decimal(mpa), "MPa"))
    >>> line = Line("class 2", (point("6", "0.2"), point("60", "0.5")))
    >>> round(strength_on(line, Quantity(Decimal(30), "min")).value, 4)
    Decimal('0.3795')
    """
    Point(time, line.points[0].strength)  # refuses a time that is none
    low, high = line.around(time)
    unit = line.points[0].strength.unit
    f_1 = convert(low.strength, to=unit).value
    f_2 = convert(high.strength, to=unit).value
    t, t_1, t_2 = (_minutes(each) for each in (time, low.time, high.time))
    if t in (t_1, t_2):
        return Quantity(f_1 if t == t_1 else f_2, unit)
    with localcontext(prec=_DIGITS + _GUARD, rounding=ROUND_HALF_EVEN) as context:
        found = (f_1.ln() + (f_2 / f_1).ln() * _share(time, low, high)).exp()
        context.prec = _DIGITS
        return Quantity(+found, unit)


def class_reached(lines: Sequence[Line], *, time: Quantity, strength: Quantity) -> str:
    """Return the highest class whose line a strength reaches; empty below all.

    Parameters
    ----------
    lines
        The lower bound of each class, lowest class first, as the contract types them.
    time, strength
        Of the measurement [time, pressure]; exactly on a line reaches it.

    It compares strengths at one time; it is no time of re-entry and finds none. Raises
    ValueError without lines, beyond the points of any line, and where a higher class
    asks no more than a lower one at that time. Source: `TYPED`, `LOG_LOG`.

    >>> def line(name, mpa):
    ...     points = (Point(Quantity(Decimal(n), "min"), Quantity(Decimal(mpa), "MPa"))
    ...               for n in (6, 60))
    ...     return Line(name, tuple(points))
    >>> at = Quantity(Decimal(30), "min")
    >>> class_reached([line("low", "0.2"), line("high", "0.5")], time=at,
    ...               strength=Quantity(Decimal("0.5"), "MPa"))
    'high'
    """
    Point(time, strength)  # refuses what is no measurement
    if not lines:
        raise ValueError("lines: none; allowed is one or more")
    reached, before = "", None
    for line in lines:
        asked = strength_on(line, time)
        if before is not None and convert(asked, to=before.unit).value <= before.value:
            raise ValueError(
                f"points: at {time} {line.name} asks no more than the class before it"
            )
        if convert(strength, to=asked.unit).value >= asked.value:
            reached = line.name
        before = asked
    return reached


def strength_working(line: Line, time: Quantity) -> Working:
    """Return how a line's strength at a time came about.

    Raises ValueError as `strength_on`. Source: `LOG_LOG`.

    >>> def point(minutes, mpa):
    ...     return Point(Quantity(Decimal(minutes), "min"), Quantity(Decimal(mpa), "MPa"))
    >>> line = Line("class 2", (point("6", "0.2"), point("60", "0.5")))
    >>> str(strength_working(line, Quantity(Decimal(30), "min")).reported)
    '0.379 MPa'
    """
    exact = strength_on(line, time)
    low, high = line.around(time)
    reported = Quantity(significant(exact.value), exact.unit)
    share = _share(time, low, high)
    shown = significant(share, digits=_SHARE_DIGITS)
    f_1, f_2 = (convert(point.strength, to=exact.unit).value for point in (low, high))
    t, t_1, t_2 = (_minutes(each) for each in (time, low.time, high.time))
    return Working(
        title=f"{line.name} at {time}",
        inputs=(Named("time", time),),
        steps=(
            Step("between", f"{_said(low)} and {_said(high)}", TYPED),
            Step(
                "way between them",
                f"ln({t:f} / {t_1:f}) / ln({t_2:f} / {t_1:f}), in min = {shown:f}",
                LOG_LOG,
            ),
            Step(
                "strength",
                f"{f_1:f} × ({f_2:f} / {f_1:f})^{shown:f} = {reported}",
                LOG_LOG,
            ),
        ),
        exact=exact,
        reported=reported,
        rounding=_ROUNDING,
    )


def _share(time: Quantity, low: Point, high: Point) -> Decimal:
    """Return how far a time lies from one point to the next, on a logarithmic axis."""
    t, t_1, t_2 = (_minutes(each) for each in (time, low.time, high.time))
    return (t / t_1).ln() / (t_2 / t_1).ln()


def _said(point: Point) -> str:
    return f"{point.strength} at {point.time}"


def significant(value: Decimal, *, digits: int = 3) -> Decimal:
    """Return any number, in any unit, to so many significant digits, half to even.

    Source: project's choice; a needle or a stud reads no finer.

    >>> significant(Decimal("0.379473"))
    Decimal('0.379')
    >>> significant(Decimal(0))
    Decimal('0')
    """
    if not value:
        return value
    place = Decimal(1).scaleb(value.adjusted() - digits + 1)
    return value.quantize(place, ROUND_HALF_EVEN)
