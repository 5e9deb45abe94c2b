"""What became of the concrete that was delivered to a placement, item by item.

Tickets less the neat volume mixes five things: what went back, what stayed in the
line, panels, what was built too thick, and what rebounded or was cut off. They are
told apart here, and what is not known stays unknown: no figure that needs it is made.

Every figure is this book's own arithmetic on what was read; a rebound by difference
is not one that was swept up and weighed.
"""

from __future__ import annotations

from collections.abc import Mapping
from dataclasses import dataclass, fields
from decimal import Decimal

from inspections.domain.thickness import Thickness
from project.domain.reporting import reported, rounding_words
from project.domain.showing import short
from project.domain.units import Quantity, convert
from project.domain.verdict import Known, Source
from project.domain.working import Named, Step, Working

DEFINED = Source("volumes of a placement, as defined here", known=Known.PROJECT)
GEOMETRY = Source("geometry", known=Known.DERIVED)


@dataclass(frozen=True, slots=True)
class Tickets:
    """What was delivered to a placement and accepted, and what of it was not shot there.

    What is not known is absent; what is known to be none is 0. `removed` is bad work
    taken out while fresh and `cuttings` what the trowel took: both were shot. Raises
    ValueError for what is no volume, below 0, or for a delivery of 0. Source: project's
    choice.

    >>> from decimal import Decimal
    >>> Tickets(Quantity(Decimal(9), "yd3"), returned=Quantity(Decimal(-1), "yd3"))
    Traceback (most recent call last):
    ValueError: returned -1 yd3: allowed is a volume of 0 or more
    """

    delivered: Quantity
    returned: Quantity | None = None
    line_waste: Quantity | None = None
    panels: Quantity | None = None
    removed: Quantity | None = None
    cuttings: Quantity | None = None

    def __post_init__(self) -> None:
        for each in fields(self):
            given = getattr(self, each.name)
            if given is not None and (given.dimension != "volume" or given.value < 0):
                allowed = "allowed is a volume of 0 or more"
                raise ValueError(f"{each.name} {given}: {allowed}")
        if not self.delivered.value:
            raise ValueError(f"delivered {self.delivered}: allowed is more than 0")


@dataclass(frozen=True, slots=True)
class Volumes:
    """A placement's volumes, all in the unit of the tickets; absent what is not known.

    `made` holds how each figure came about, `unknown` why another is absent, and
    `flags` what contradicts itself: kept and shown, never refused.
    """

    made: Mapping[str, Working]
    unknown: Mapping[str, str]
    flags: tuple[str, ...]

    def get(self, name: str) -> Quantity | None:
        """Return a figure unrounded, or nothing where it is not known."""
        working = self.made.get(name)
        return None if working is None else working.exact


def volumes(
    *, neat: Quantity, tickets: Tickets, thickness: Thickness | None = None
) -> Volumes:
    """Return a placement's volumes and shares, each with its working.

    Parameters
    ----------
    neat
        Area times design thickness [volume], above 0.
    tickets
        What was delivered, and what of it is known to have gone elsewhere.
    thickness
        What its readings say; without them nothing is known of what is in place.

    Figures by name: `in place`, `overbuild`, `overbuild of neat`, `shot`, `loss`,
    `loss of shot`, `rebound`, `rebound of shot`, `yield`, `waste factor`. Raises
    ValueError for a neat volume that is none above 0. Source: project's choice of
    definitions.

    >>> from decimal import Decimal
    >>> def q(text):
    ...     return Quantity(Decimal(text), "yd3")
    >>> tickets = Tickets(q("16.50"), q("0.25"), q("0.35"), q("0.062"))
    >>> made = volumes(neat=q("13.3333"), tickets=tickets)
    >>> str(made.made["shot"].reported), str(made.made["yield"].reported)
    ('15.84 yd3', '80.8 percent')
    >>> made.unknown["in place"]
    'no readings of the thickness'
    """
    if neat.dimension != "volume" or neat.value <= 0:
        raise ValueError(f"neat {neat}: a volume above 0 is needed")
    book = _Book(tickets.delivered.unit)
    book.put("neat", neat)
    for each in fields(tickets):
        book.put(each.name, getattr(tickets, each.name))
    _in_place(book, thickness)
    _shot(book)
    _lost(book)
    _held_together(book)
    flags = tuple(_flags(book))
    return Volumes(book.made, book.unknown, flags)


class _Book:
    """The figures so far, in one unit; a figure made of an unknown one is unknown."""

    def __init__(self, unit: str) -> None:
        self.unit = unit
        self.values: dict[str, Decimal] = {}
        self.typed: dict[str, Quantity] = {}
        self.made: dict[str, Working] = {}
        self.unknown: dict[str, str] = {}

    def put(self, name: str, given: Quantity | None) -> None:
        name = name.replace("_", " ")
        if given is None:
            self.unknown[name] = f"{name} not given"
            return
        self.values[name] = convert(given, to=self.unit).value
        self.typed[name] = given

    def sum(self, name: str, plus: str, *minus: str) -> None:
        """Make a figure by taking others off one."""
        if self._wants(name, plus, *minus):
            taken = [self.values[each] for each in minus]
            value = self.values[plus] - sum(taken, Decimal(0))
            terms = " - ".join(short(each) for each in (self.values[plus], *taken))
            self.make(name, value, self.unit, terms, (plus, *minus))

    def share(self, name: str, part: str, whole: str, *, unit: str = "percent") -> None:
        """Make a figure by dividing one by another."""
        if not self._wants(name, part, whole):
            return
        if not self.values[whole] > 0:
            self.unknown[name] = f"{whole} comes to nothing"
            return
        above, below = self.values[part], self.values[whole]
        value = convert(Quantity(above / below, "1"), to=unit).value
        self.make(name, value, unit, f"{short(above)} / {short(below)}", (part, whole))

    def _wants(self, name: str, *parts: str) -> bool:
        missing = [self.unknown[part] for part in parts if part in self.unknown]
        if missing:
            self.unknown[name] = "; ".join(dict.fromkeys(missing))
        return not missing

    def make(
        self, name: str, value: Decimal, unit: str, terms: str, parts: tuple[str, ...]
    ) -> None:
        exact = Quantity(value, unit)
        if unit == self.unit:
            self.values[name] = value
        shown = reported(exact)
        self.made[name] = Working(
            title=f"{name[:1].upper()}{name[1:]}",
            inputs=tuple(Named(p, self.typed[p]) for p in parts if p in self.typed),
            steps=(Step(" and ".join(parts), f"{terms} = {shown}", DEFINED),),
            exact=exact,
            reported=shown,
            rounding=rounding_words(unit),
        )


def _in_place(book: _Book, thickness: Thickness | None) -> None:
    if thickness is None:
        book.unknown["in place"] = "no readings of the thickness"
    else:
        ratio = thickness.mean.value / thickness.design.value
        neat = book.values["neat"]
        mean, design = short(thickness.mean.value), short(thickness.design.value)
        terms = f"{short(neat)} × {mean} / {design}"
        book.typed["mean thickness"] = thickness.mean
        parts = ("neat", "mean thickness")
        book.make("in place", neat * ratio, book.unit, terms, parts)
    book.sum("overbuild", "in place", "neat")
    book.share("overbuild of neat", "overbuild", "neat")


def _shot(book: _Book) -> None:
    book.sum("shot", "delivered", "returned", "line waste", "panels")


def _lost(book: _Book) -> None:
    book.sum("loss", "shot", "in place")
    book.share("loss of shot", "loss", "shot")
    # By difference; what was removed while fresh is no rebound.
    book.sum("rebound", "loss", "removed", "cuttings")
    book.share("rebound of shot", "rebound", "shot")


def _held_together(book: _Book) -> None:
    book.share("yield", "neat", "delivered")
    book.share("waste factor", "delivered", "neat", unit="1")


def _flags(book: _Book) -> list[str]:
    """Return what cannot be: a ticket or a reading is missing or wrong."""
    said = {
        "shot": "more went back, stayed in the line and went to panels than was delivered",
        "loss": "more is in place than was shot",
        "rebound": "more was removed and cut off than was lost",
    }
    found = [why for name, why in said.items() if book.values.get(name, 0) < 0]
    # The first contradiction makes the ones after it.
    return found[:1]
