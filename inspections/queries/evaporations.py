"""How fast a fresh face would lose water at each reading of a sheet's weather.

A reading belongs to the sheet, not to one placement: of several mixtures that were
shot, the one with the least limit is the one it is held against.
"""

from __future__ import annotations

from collections.abc import Iterable, Mapping
from dataclasses import dataclass
from datetime import datetime
from decimal import Decimal
from typing import Any

from inspections.domain.weather import WeatherAt
from inspections.domain.weather_limits import (
    MixWeather,
    evaporation_limit,
    judge_evaporation,
    shown_beside,
)
from project.domain.terms import Terms
from project.domain.units import Quantity, convert
from project.domain.verdict import Reason, State, Verdict
from project.models import Job, MixRevision
from project.models.records import as_quantity

Mixes = Mapping[tuple[str, int], MixWeather]
_READ = ("concrete", "air", "humidity", "wind")


@dataclass(frozen=True, slots=True)
class Evaporating:
    """One reading: what was read, the mix it is held to, and the verdict.

    `why` says why there is no verdict where a reading lets none be made.
    """

    read: Mapping[str, Quantity]
    mix: MixWeather
    verdict: Verdict | None
    why: str = ""

    @property
    def form(self) -> str:
        """By which form the rate was estimated."""
        made = None if self.verdict is None else self.verdict.working
        return next((used.value for used in made().settings), "") if made else ""

    @property
    def reason(self) -> Reason | None:
        return None if self.verdict is None else self.verdict.reasons[0]

    @property
    def over(self) -> bool:
        """Whether the estimate is over the limit it is held against."""
        return self.verdict is not None and self.verdict.state is State.FAIL

    @property
    def rate(self) -> Quantity | None:
        """The rate as it is shown, in the limit's unit; nothing without an estimate."""
        if self.verdict is None or self.verdict.working is None:
            return None
        return shown_beside(self.verdict)


def mixes_on_record(job: Job, *, known_at: datetime) -> Mixes:
    """Return what each mix revision says of weather, by code and revision. One query."""
    rows = MixRevision.objects.known_at(known_at).filter(job=job)
    return {
        (row.code, row.revision): MixWeather(
            as_quantity(row.evaporation_limit, row.evaporation_limit_unit),
            silica_fume=row.silica_fume,
        )
        for row in rows.order_by("code", "revision")
    }


def evaporations(
    content: Mapping[str, Any], *, mixes: Mixes, terms: Terms | None
) -> tuple[Evaporating, ...]:
    """Return each reading of a sheet's weather, in its order.

    `terms` are those in force on the work date.
    """
    shot = {(row["mix"], row["mix_revision"]): None for row in content["placed"]}
    mix = _strictest([mixes[key] for key in shot if key in mixes], terms)
    return tuple(_evaporating(row, mix, terms) for row in content["weather"])


def _strictest(mixes: Iterable[MixWeather], terms: Terms | None) -> MixWeather:
    limited = [mix for mix in mixes if evaporation_limit(mix, terms=terms)]
    return min(limited, key=lambda mix: _most(mix, terms), default=MixWeather())


def _most(mix: MixWeather, terms: Terms | None) -> Decimal:
    limit = evaporation_limit(mix, terms=terms)
    return convert(limit.value, to="kg/m2/h").value if limit else Decimal("Infinity")


def _evaporating(
    row: Mapping[str, Any], mix: MixWeather, terms: Terms | None
) -> Evaporating:
    read = {
        name: Quantity(Decimal(row[name][0]), row[name][1])
        for name in _READ
        if row[name]
    }
    try:
        weather = WeatherAt(**read)
    except ValueError as error:  # so cold that the equation has no answer
        return Evaporating(read, mix, None, str(error))
    return Evaporating(read, mix, judge_evaporation(weather, terms=terms, mix=mix))
