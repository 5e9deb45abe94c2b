"""A list of strengths in one unit, and the honest answer when it is too short.

Sums and squares are made with fractions, so that nothing is lost between large
strengths that lie close together; only a figure itself is cut, to 28 digits.
"""

from __future__ import annotations

from collections.abc import Sequence
from dataclasses import dataclass
from decimal import ROUND_HALF_EVEN, Decimal, localcontext
from fractions import Fraction

from project.domain.units import Quantity
from project.domain.verdict import Known, Reason, Source, State, Verdict

STRENGTH_UNITS = ("psi", "MPa")
REPORTED = Source(
    "project", "a statistic in whole psi or 0.01 MPa", known=Known.PROJECT
)

# A statistic is told ten times finer than one result is reported.
_STEPS = {"psi": 0, "MPa": 2}
_GUARD_DIGITS, _DIGITS = 40, 28
_PLACES_WRITTEN = 4  # of a value inside a sum
_ALL_SHOWN = 6  # more values than this are not written out in a step

TOO_FEW = Source("project", "below five sets only counts are told", known=Known.PROJECT)


@dataclass(frozen=True, slots=True)
class Strengths:
    """Strengths of one list [psi or MPa], in the order given, all in one unit."""

    unit: str
    values: tuple[Decimal, ...]

    @property
    def fractions(self) -> tuple[Fraction, ...]:
        """The same values, exact."""
        return tuple(Fraction(value) for value in self.values)

    def of(self, value: Decimal) -> Quantity:
        """Return a number as a strength in the list's unit."""
        return Quantity(value, self.unit)


def strengths(
    values: Sequence[Quantity],
    *,
    name: str = "values",
    fewest: int = 1,
    zero: bool = False,
) -> Strengths:
    """Return a list of strengths in its one unit.

    Parameters
    ----------
    values
        Strengths [psi or MPa]; psi and MPa in one list are refused, not converted,
        since each was rounded in its own unit.
    name
        What an error calls the list.
    fewest
        How many there must be at least.
    zero
        Whether a value may be 0, as a difference may.

    Raises ValueError for too few values, another unit, two units, or a value that is
    not above 0. Source: project's choice.

    >>> strengths([Quantity(Decimal(4000), "psi")]).unit
    'psi'
    >>> strengths([Quantity(Decimal(4000), "psi"), Quantity(Decimal(28), "MPa")])
    Traceback (most recent call last):
    ValueError: values 2: 28 MPa; the first is in psi, and one list has one unit
    """
    if len(values) < fewest:
        raise ValueError(f"{name}: {len(values)} given; at least {fewest} are needed")
    unit = values[0].unit
    if unit not in STRENGTH_UNITS:
        allowed = " and ".join(STRENGTH_UNITS)
        raise ValueError(f"{name} 1: {values[0]}; allowed units are {allowed}")
    for number, each in enumerate(values, start=1):
        if each.unit != unit:
            why = f"the first is in {unit}, and one list has one unit"
            raise ValueError(f"{name} {number}: {each}; {why}")
        if each.value < 0 or (each.value == 0 and not zero):
            raise ValueError(f"{name} {number}: {each}; allowed is {_least(zero)}")
    return Strengths(unit, tuple(each.value for each in values))


def one_strength(
    value: Quantity, *, name: str, unit: str | None = None, zero: bool = False
) -> Fraction:
    """Return one strength [psi or MPa], exact.

    `unit` is the one the other inputs are in; `zero` says whether it may be 0, as a
    scatter may. Raises ValueError for another unit or a value not above 0 (with
    `zero`, below it). Source: project's choice.

    >>> one_strength(Quantity(Decimal("31.0"), "MPa"), name="f_c")
    Fraction(31, 1)
    >>> one_strength(Quantity(Decimal(350), "psi"), name="s", unit="MPa")
    Traceback (most recent call last):
    ValueError: s: 350 psi; the other strengths are in MPa, and all have one unit
    """
    if unit is not None and value.unit != unit:
        why = f"the other strengths are in {unit}, and all have one unit"
        raise ValueError(f"{name}: {value}; {why}")
    if value.unit not in STRENGTH_UNITS:
        allowed = " and ".join(STRENGTH_UNITS)
        raise ValueError(f"{name}: {value}; allowed units are {allowed}")
    if value.value < 0 or (value.value == 0 and not zero):
        raise ValueError(f"{name}: {value}; allowed is {_least(zero)}")
    return Fraction(value.value)


def _least(zero: bool) -> str:
    return "0 or more" if zero else "above 0"


def mean_of(values: Sequence[Fraction]) -> Fraction:
    """Return the mean of one or more numbers, exact.

    Any unit. Raises ValueError for an empty list. Source: arithmetic.

    >>> mean_of([Fraction(1), Fraction(2)])
    Fraction(3, 2)
    """
    if not values:
        raise ValueError("values: none given; at least 1 is needed")
    return sum(values, Fraction(0)) / len(values)


def squares_of(values: Sequence[Fraction]) -> Fraction:
    """Return the sum of squared distances from the mean, exact.

    Any unit, squared. Raises ValueError for an empty list. Source: arithmetic.

    >>> squares_of([Fraction(1), Fraction(2)])
    Fraction(1, 2)
    """
    mean = mean_of(values)
    return sum(((value - mean) ** 2 for value in values), Fraction(0))


def root(value: Fraction) -> Decimal:
    """Return a square root to 28 digits.

    Any unit, of which the root is taken. Raises ValueError below 0. Source:
    arithmetic.

    >>> root(Fraction(1, 4))
    Decimal('0.5')
    """
    if value < 0:
        raise ValueError(f"value {value}: a root needs 0 or more")
    with localcontext(prec=_GUARD_DIGITS):
        found = (Decimal(value.numerator) / Decimal(value.denominator)).sqrt()
    return cut(found)


def cut(value: Decimal) -> Decimal:
    """Return a number cut to 28 digits, ties to even; what guard digits were for.

    Any unit, any finite value. Source: project's choice.

    >>> cut(Decimal("1.5"))
    Decimal('1.5')
    """
    with localcontext(prec=_DIGITS, rounding=ROUND_HALF_EVEN):
        return +value


def reported_statistic(value: Quantity) -> Quantity:
    """Return a statistic as it is told: whole psi or 0.01 MPa, ties to even.

    Raises ValueError for a unit other than psi and MPa. Source: project's choice; it
    is ten times finer than a single result is reported.

    >>> str(reported_statistic(Quantity(Decimal("460.83"), "psi")))
    '461 psi'
    """
    return Quantity(shown_number(value.value, value.unit), value.unit)


def shown_number(value: Decimal, unit: str, *, finer: int = 0) -> Decimal:
    """Return a number [psi or MPa] with the decimals a statistic is told in.

    `finer` asks for that many more. Raises ValueError for another unit. Source:
    project's choice.

    >>> shown_number(Decimal("460.8304"), "psi", finer=1)
    Decimal('460.8')
    """
    if unit not in _STEPS:
        allowed = " and ".join(STRENGTH_UNITS)
        raise ValueError(f"unit {unit}: allowed are {allowed}")
    step = Decimal(1).scaleb(-_STEPS[unit] - finer)
    with localcontext(prec=_GUARD_DIGITS * 3):
        return value.quantize(step, ROUND_HALF_EVEN)


def rounding_of(unit: str) -> str:
    """Return in words how a statistic [psi or MPa] is rounded.

    Raises KeyError for another unit. Source: project's choice.

    >>> rounding_of("MPa")
    'once, at the end, to 0.01 MPa, ties to even'
    """
    step = Decimal(1).scaleb(-_STEPS[unit])
    return f"once, at the end, to {step} {unit}, ties to even"


def added_up(values: Sequence[Decimal]) -> str:
    """Return a sum in words, a long one with a gap, long numbers to four decimals.

    Any unit, one or more values. Source: project's choice.

    >>> added_up([Decimal(1), Decimal(2)])
    '1 + 2'
    >>> added_up([Decimal("5373.253688440"), Decimal("1.50")])
    '5373.2537 + 1.50'
    >>> added_up([Decimal(n) for n in range(1, 9)])
    '1 + 2 + … + 8'
    """
    texts = [_written(value) for value in values]
    if len(texts) > _ALL_SHOWN:
        texts = [*texts[:2], "…", texts[-1]]
    return " + ".join(texts)


def _written(value: Decimal) -> str:
    short = f"{value:.{_PLACES_WRITTEN}f}"
    return min(f"{value:f}", short, key=len)


@dataclass(frozen=True, slots=True)
class TooFew:
    """What is told where there are too few to say more: how many there are.

    Source: project's choice, five sets; ACI 318 and EN 206 where they name a number.

    >>> TooFew(4, 5, "sets").words
    'too few: 4 of the 5 sets it takes'
    """

    have: int
    need: int
    what: str
    source: Source = TOO_FEW

    @property
    def words(self) -> str:
        """The counts, and nothing else."""
        return f"too few: {self.have} of the {self.need} {self.what} it takes"

    def verdict(self) -> Verdict:
        """Return the state: not enough yet, which is no pass."""
        state = State.NOT_ENOUGH_YET
        asked = f"at least {self.need} {self.what}"
        reason = Reason("count", asked, state, str(self.have), self.source)
        return Verdict(state, "too few for a statistic", (reason,))
