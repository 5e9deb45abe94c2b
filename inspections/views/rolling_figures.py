"""The figures of a rolling record as a page shows them, each with its working's address."""

from __future__ import annotations

from collections.abc import Mapping
from dataclasses import dataclass, field, replace
from decimal import Decimal
from urllib.parse import urlencode

from django.utils.translation import gettext as _

from crews.domain.strength_list import TooFew
from crews.domain.strength_statistics import reported_percent
from crews.domain.trade_words import RatingDecision
from crews.views.common import Look
from inspections.domain.rolling_record import Rate, Record
from inspections.queries.rolling_record import Cell, Group, OperatorRecord
from project.charts.text import NO_BREAK, quantity_text
from project.domain.units import Quantity
from project.domain.working import Working

_KEYS = ("mix", "position", "of", "figure")


@dataclass(frozen=True, slots=True)
class Figure:
    """One figure in words; with an address where a working stands behind it."""

    words: str
    second: str = ""
    url: str = ""
    chosen: bool = False


@dataclass(frozen=True, slots=True)
class Addresses:
    """Where the workings of one record open: page, group, and the two instants kept."""

    page: str
    seen: Look
    asked: Mapping[str, str] = field(default_factory=dict)
    group: Mapping[str, str] = field(default_factory=dict)

    @property
    def wanted(self) -> dict[str, str]:
        """The figure that the address asks for: whose, and which."""
        if not self.asked.get("figure"):
            return {}
        return {key: self.asked.get(key, "") for key in _KEYS}

    def of(self, cell: Cell, group: Group) -> Addresses:
        """Return the addresses of one line of a mix and position."""
        keys = {"mix": cell.mix, "position": cell.position, "of": group.key}
        return replace(self, group=keys)

    def figure(self, name: str, words: str) -> Figure:
        """Return a figure that opens its working."""
        named = {key: self.group.get(key, "") for key in _KEYS} | {"figure": name}
        given = {key: value for key, value in named.items() if value}
        moved = f"{self.seen.moved}&" if self.seen.moved else ""
        return Figure(
            words,
            url=f"{self.page}?{moved}{urlencode(given)}#answer",
            chosen=self.wanted == named,
        )


def figures(row: OperatorRecord | Record, addresses: Addresses) -> dict[str, Figure]:
    """Return every figure of a record by its name; shares where it is an operator's."""
    record = row.record if isinstance(row, OperatorRecord) else row
    made = {
        "mean": _mean(record, addresses),
        "lowest": _lowest(record, addresses),
        "volume": _volume(record, addresses),
        "rate": _rate(record, addresses),
    }
    if isinstance(row, OperatorRecord):
        for name, share in (("volume-share", row.volume), ("panel-share", row.panels)):
            percent = share.percent
            made[name] = (
                Figure(_("no share"))
                if percent is None
                else addresses.figure(name, _shown(percent))
            )
    return made


def _shown(percent: Decimal) -> str:
    return quantity_text(reported_percent(percent))


def _mean(record: Record, addresses: Addresses) -> Figure:
    mean = record.sets.mean
    if mean is None:
        return Figure(_("no sets"))
    if isinstance(mean, TooFew):
        return Figure(_("too few"))
    return addresses.figure("mean", _shown(mean))


def _lowest(record: Record, addresses: Addresses) -> Figure:
    one = record.sets.lowest
    if one is None or one.lowest is None or one.lowest_share is None:
        return Figure(_("no sets"))
    shown = addresses.figure("lowest", _shown(one.lowest_share))
    return replace(shown, second=one.lowest[0])


def _volume(record: Record, addresses: Addresses) -> Figure:
    volume = record.volume
    working = volume.working()
    if working is None:
        return Figure(quantity_text(Quantity(Decimal(0), volume.total.unit)))
    second = []
    if volume.estimated:
        second.append(_("%(n)s estimated") % {"n": volume.estimated})
    if volume.unknown:
        second.append(_("%(n)s not known") % {"n": volume.unknown})
    shown = addresses.figure("volume", quantity_text(working.reported))
    return replace(shown, second=", ".join(second))


def _rate(record: Record, addresses: Addresses) -> Figure:
    rate = record.rate
    if not isinstance(rate, Rate):
        return Figure(_("too few") if rate.too_few else _("not known"))
    return addresses.figure("rate", quantity_text(rate.working().reported))


def working_of(row: OperatorRecord, wanted: Mapping[str, str]) -> Working | None:
    """Return the working of the figure an address asks for, where there is one."""
    figure = wanted.get("figure", "")
    if figure == "volume-share":
        return row.volume.working()
    if figure == "panel-share":
        return row.panels.working()
    record = _record(row, wanted)
    if record is None:
        return None
    if figure == "rate":
        rate = record.rate
        return rate.working() if isinstance(rate, Rate) else None
    made = {
        "mean": record.sets.mean_working,
        "lowest": record.sets.lowest_working,
        "volume": record.volume.working,
    }
    return made[figure]() if figure in made else None


def _record(row: OperatorRecord, wanted: Mapping[str, str]) -> Record | None:
    if not wanted.get("of"):
        return row.record
    cell = row.cell(wanted["mix"], wanted["position"])
    group = cell.group(wanted["of"]) if cell else None
    return group.record if group else None


def rating_words(record: Record) -> list[str]:
    """Return how many ratings there are of each word that was given."""
    return [
        f"{count}{NO_BREAK}{decision.value}"
        for decision in RatingDecision
        if (count := record.rated(decision))
    ]
