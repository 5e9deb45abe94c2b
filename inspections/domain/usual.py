"""What is usual in the trade, as ranges with their sources: advice, never a limit.

No reading passes or fails by these; what a contract asks is the contract's to say.
"""

from __future__ import annotations

from collections.abc import Iterable, Iterator
from dataclasses import dataclass

from project.domain.units import Quantity, convert
from project.domain.verdict import Known, Reason, Source, State
from project.domain.working import Step, Working

PRACTICE = Source("common practice, no source", known=Known.PRACTICE)


@dataclass(frozen=True, slots=True)
class Usual:
    """A range by its name; one without an upper end says "at least".

    Raises ValueError where the ends are of two dimensions or in the wrong order.
    Source: each range carries its own.

    >>> from decimal import Decimal
    >>> impact = Quantity(Decimal(60), "mph"), Quantity(Decimal(80), "mph")
    >>> str(Usual("impact", *impact, PRACTICE))
    '60 to 80 mph'
    """

    name: str
    low: Quantity
    high: Quantity | None
    source: Source

    def __post_init__(self) -> None:
        high = self.high
        if high is not None and convert(high, to=self.low.unit).value < self.low.value:
            raise ValueError(f"{self.name}: {self.low} to {high} runs downwards")

    def __str__(self) -> str:
        if self.high is None:
            return f"at least {self.low}"
        return f"{self.low.value} to {self.high}"

    def lies(self, value: Quantity) -> str:
        """Return where a value lies; on an end is inside. Raises ValueError as convert."""
        here = convert(value, to=self.low.unit).value
        if here < self.low.value:
            return "below"
        if self.high is not None and here > convert(self.high, to=self.low.unit).value:
            return "above"
        return "inside"

    def reason(self, value: Quantity | None) -> Reason:
        """Return the range as a line of advice, with where a value lies."""
        found = f"usual is {self}"
        if value is not None:
            found = f"{value}: {self.lies(value)} what is usual, {self}"
        usual = f"usual, {self}; nobody's limit"
        return Reason(self.name, usual, State.INFORMATION, found, self.source)


def ends(ranges: Iterable[Usual]) -> Iterator[tuple[str, Working]]:
    """Yield both ends of each range as figures: its name, "from" and "to".

    Source: each range's own.

    >>> from decimal import Decimal
    >>> one = Usual("hose", Quantity(Decimal(3), "1"), None, PRACTICE)
    >>> [name for name, _ in ends([one])]
    ['hose, from']
    """
    for each in ranges:
        for word, end in (("from", each.low), ("to", each.high)):
            if end is not None:
                name = f"{each.name}, {word}"
                yield name, _as_printed(name, end, each)


def _as_printed(name: str, end: Quantity, usual: Usual) -> Working:
    return Working(
        title=f"{name[:1].upper()}{name[1:]}",
        inputs=(),
        steps=(Step(usual.name, f"usual is {usual}", usual.source),),
        exact=end,
        reported=end,
        rounding="none: as the source gives it",
    )
