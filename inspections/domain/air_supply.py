"""Air at the nozzle and the speed of the stream: advice in ranges, with sources.

Recorded are the rated flow, the hose and the tools on the line. Whether that will do
is for the equipment's maker and whoever shoots to say, and never for this book.
"""

from __future__ import annotations

from collections.abc import Iterator, Mapping
from dataclasses import dataclass
from decimal import Decimal

from inspections.domain.usual import PRACTICE, Usual
from project.domain.shooting_words import Process
from project.domain.showing import short
from project.domain.units import Quantity, convert
from project.domain.verdict import Known, Reason, Source, State, Verdict

CERTIFICATION = Source(
    "training notes for operators", "wet-mix air", "2013", Known.READ
)
PUMPING = Source(
    "pumping practice with accelerator", "exit of the nozzle", "", Known.READ
)
_RULE = "Usual air and hoses; advice in ranges, and no statement that it will do"

CAUTION = (
    "Rated flow is told near 100 to 120 psi and falls over small or long lines. What "
    "the line must carry is for the equipment's maker, the contract and whoever shoots."
)


def _usual(name: str, low: str, high: str, unit: str, source: Source) -> Usual:
    top = Quantity(Decimal(high), unit) if high else None
    return Usual(name, Quantity(Decimal(low), unit), top, source)


# Rated air flow by process, a blow pipe on the line included where it is said.
FLOWS: Mapping[Process, tuple[Usual, ...]] = {
    Process.WET: (
        _usual("air flow with a blow pipe", "185", "365", "cfm", CERTIFICATION),
        _usual("air flow, more with output", "200", "", "cfm", PRACTICE),
    ),
    Process.DRY: (_usual("air flow", "600", "750", "cfm", PRACTICE),),
}
# The line of air to the nozzle; one of 3/4 in is not split between nozzle and blow pipe.
AIR_LINES: tuple[Usual, ...] = (
    _usual("air line, inside diameter", "1", "", "in", PRACTICE),
)
# Inside diameter of the material hose over the largest stone: 3, better 4.
HOSES: tuple[Usual, ...] = (
    _usual("material hose, times the largest stone", "3", "", "1", PRACTICE),
    _usual("material hose, better", "4", "", "1", PRACTICE),
)
# The stream where it strikes, and where it leaves the nozzle: two different measures.
STREAM: tuple[Usual, ...] = (
    _usual("middle of the stream where it strikes", "60", "80", "mph", PRACTICE),
    _usual("exit of the nozzle", "150", "200", "ft/s", PUMPING),
)
# At the edge of the stream, about (common practice, no source).
STREAM_EDGE = Quantity(Decimal(45), "mph")
SPEED_UNITS = ("m/s", "km/h", "mph", "ft/s")


@dataclass(frozen=True, slots=True)
class AirLine:
    """What stands on the line of air; what is not on record is absent.

    Raises ValueError for a value of another dimension, or one that is not above 0.
    Source: what a daily report records of equipment (common practice, no source).

    >>> AirLine(flow=Quantity(Decimal(0), "cfm"))
    Traceback (most recent call last):
    ValueError: flow 0 cfm: allowed is a flow above 0
    """

    flow: Quantity | None = None
    air_line: Quantity | None = None
    hose: Quantity | None = None
    aggregate: Quantity | None = None

    def __post_init__(self) -> None:
        kinds = ("flow", "length", "length", "length")
        names = ("flow", "air_line", "hose", "aggregate")
        for name, kind in zip(names, kinds, strict=True):
            given = getattr(self, name)
            if given is not None and (given.dimension != kind or given.value <= 0):
                raise ValueError(f"{name} {given}: allowed is a {kind} above 0")

    @property
    def over_stone(self) -> Quantity | None:
        """The hose's inside diameter over the largest stone [1], where both are known."""
        if self.hose is None or self.aggregate is None:
            return None
        stone = convert(self.aggregate, to=self.hose.unit)
        return Quantity(self.hose.value / stone.value, "1")


def usual_air(process: Process) -> tuple[Usual, ...]:
    """Return every range of advice for a process: flow, air line, material hose.

    Source: training notes of 2013 (read) and common practice, as each range says.

    >>> [str(each) for each in usual_air(Process.DRY)][0]
    '600 to 750 cfm'
    """
    return FLOWS[process] + AIR_LINES + HOSES


def air_advice(line: AirLine, *, process: Process) -> Verdict:
    """Return where what stands on the line lies beside what is usual.

    Always information: it is never said to be enough. Source: as `usual_air`.

    >>> made = air_advice(AirLine(Quantity(Decimal(185), "cfm")), process=Process.WET)
    >>> made.state.value, made.reasons[0].found
    ('information', '185 cfm: inside what is usual, 185 to 365 cfm')
    """
    return Verdict(State.INFORMATION, _RULE, tuple(_reasons(line, process)))


def _reasons(line: AirLine, process: Process) -> Iterator[Reason]:
    over = line.over_stone
    if over is not None:
        over = Quantity(Decimal(short(over.value, figures=3)), "1")
    for ranges, value in (
        (FLOWS[process], line.flow),
        (AIR_LINES, line.air_line),
        (HOSES, over),
    ):
        yield from (each.reason(value) for each in ranges)


def in_every_unit(speed: Quantity) -> tuple[Quantity, ...]:
    """Return a speed of the stream in m/s, km/h, mph and ft/s.

    Raises ValueError for anything but a speed above 0. Source: NIST SP 811, 2008
    (from memory).

    >>> print(*in_every_unit(Quantity(Decimal(60), "mph")))
    26.8224 m/s 96.56064 km/h 60 mph 88 ft/s
    """
    if speed.dimension != "speed" or speed.value <= 0:
        raise ValueError(f"speed {speed}: allowed is a speed above 0")
    return tuple(convert(speed, to=unit) for unit in SPEED_UNITS)
