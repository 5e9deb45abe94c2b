"""One placement: what became of its concrete, how thick it is, how warm it was placed.

Shooting facts and loads are the job's. Readings and weather belong to sheets: a member
reads those of its own firm, and of others what is signed.
"""

from __future__ import annotations

from collections.abc import Iterable, Mapping
from dataclasses import dataclass
from datetime import datetime
from decimal import Decimal
from uuid import UUID

from crews.domain.trade_words import PanelKind
from crews.models import Panel, Placement
from crews.queries.choices import placement
from crews.queries.shooting import UNIT_OF_VOLUME, Held, Placed, shooting
from inspections.domain.observed import ReadingKind
from inspections.domain.placing import Share
from inspections.domain.rebound import SURFACES, rebound_advice
from inspections.domain.thickness import Thickness, judge_thickness, thickness_of
from inspections.domain.volumes import Tickets, Volumes, volumes
from inspections.domain.weather import WeatherAt
from inspections.domain.weather_limits import MixWeather, judge_temperatures
from inspections.domain.worked.ordering import neat as neat_working
from inspections.models import Load, Reading, Weather
from inspections.queries.scope import reports_for
from inspections.queries.shift_record import loads_of
from inspections.queries.volumes import delivered, returned, shares_by_nozzle_time
from project.domain.shooting_words import Position, Process
from project.domain.terms import Terms, terms_on
from project.domain.units import Quantity, convert
from project.domain.verdict import Verdict
from project.domain.working import Working
from project.models import Job, Membership, MixRevision
from project.models.records import as_quantity
from project.queries.jobs import terms_revisions

# Every figure of a placement, in the order concrete goes through it.
FIGURES = (
    *("neat", "in place", "overbuild", "overbuild of neat", "shot"),
    *("loss", "loss of shot", "rebound", "rebound of shot", "yield", "waste factor"),
)


@dataclass(frozen=True, slots=True)
class Figure:
    """One computed figure with its working, or why it is not known."""

    name: str
    working: Working | None
    why: str = ""


@dataclass(frozen=True, slots=True)
class Warmth:
    """One reading of the weather and how air and concrete stand by their bounds."""

    at: datetime
    air: Quantity | None
    concrete: Quantity | None
    verdict: Verdict


@dataclass(frozen=True, slots=True)
class PlacementPage:
    """One placement with every figure that is computed of it."""

    placed: Placed
    terms: Terms | None
    loads: tuple[Load, ...]
    tickets: Tickets | None
    figures: tuple[Figure, ...]
    flags: tuple[str, ...]
    shares: Mapping[UUID, Share]
    read: Thickness | None
    thickness: Verdict
    warmth: tuple[Warmth, ...]
    advice: Verdict | None

    @property
    def row(self) -> Placement:
        return self.placed.row

    @property
    def read_mean(self) -> Quantity | None:
        """The mean thickness as it is reported."""
        return None if self.read is None else self.read.working().reported

    @property
    def shared(self) -> list[tuple[Held, Share | None]]:
        """Each nozzle time with its share of what was delivered."""
        return [(held, self.shares.get(held.id)) for held in self.placed.times]

    def working(self, name: str) -> Working | None:
        """Return how one figure came about."""
        if name == "mean":
            return None if self.read is None else self.read.working(self.terms)
        return next((one.working for one in self.figures if one.name == name), None)

    @property
    def waste_told(self) -> bool:
        """Whether somebody said what of the delivery is not in place."""
        return self.row.waste_recorded_at is not None


def placement_page(
    job: Job, code: str, *, known_at: datetime, for_member: Membership
) -> PlacementPage | None:
    """Return one placement, or nothing where it is not to be seen. Sixteen queries."""
    row = placement(job, code, known_at=known_at, for_member=for_member)
    if row is None:
        return None
    (placed,) = (
        one
        for one in shooting(job, known_at=known_at, of_shifts=[row.shift])
        if one.code == code
    )
    on = row.shift.work_date
    terms = terms_on(
        [r.facts() for r in terms_revisions(job, known_at=known_at)], on=on
    )
    came = loads_of([row.shift.first], known_at=known_at)
    loads = [load for load in came if load.placement_id == row.first]
    area, design = _face(placed)
    read = _thickness(placed, design, for_member, known_at)
    tickets = _tickets(job, placed, loads, known_at)
    made = None
    if area and design and tickets:
        face = neat_working(area, design)
        made = volumes(neat=face.exact, tickets=tickets, thickness=read)
    return PlacementPage(
        placed=placed,
        terms=terms,
        loads=tuple(loads),
        tickets=tickets,
        figures=tuple(_figures(area, design, tickets, made)),
        flags=() if made is None else made.flags,
        shares=dict(shares_by_nozzle_time(job, [placed], loads)),
        read=read,
        thickness=judge_thickness(read, terms=terms),
        warmth=tuple(_warmth(placed, terms, for_member, known_at)),
        advice=_advice(placed, made),
    )


def _face(placed: Placed) -> tuple[Quantity | None, Quantity | None]:
    """Return the area and the design thickness of what was shot, as drawn."""
    row, part = placed.row, placed.part
    area = as_quantity(row.area, row.area_unit)
    design = as_quantity(row.thickness, row.thickness_unit)
    if part is not None:
        area = area or as_quantity(part.area, part.area_unit)
        design = design or as_quantity(part.thickness, part.thickness_unit)
    return area, design


def _figures(
    area: Quantity | None,
    design: Quantity | None,
    tickets: Tickets | None,
    made: Volumes | None,
) -> Iterable[Figure]:
    for name in FIGURES:
        if name == "neat":
            drawn = area and design
            working = neat_working(area, design) if area and design else None
            yield Figure(name, working, "" if drawn else "area or thickness not given")
        elif made is None:
            why = "no loads accepted" if tickets is None else "neat volume not known"
            yield Figure(name, None, why)
        else:
            yield Figure(name, made.made.get(name), made.unknown.get(name, ""))


def _tickets(
    job: Job, placed: Placed, loads: list[Load], known_at: datetime
) -> Tickets | None:
    total = delivered(job, loads)
    if not total.value:
        return None
    row = placed.row
    told = {
        name: as_quantity(row.as_known(name, at=known_at), row.waste_unit)
        for name in ("line_waste", "removed", "cuttings")
    }
    return Tickets(
        total,
        returned=returned(job, loads),
        panels=_panels(job, placed, known_at),
        **told,
    )


def _panels(job: Job, placed: Placed, known_at: datetime) -> Quantity | None:
    """Return what the panels of a placement took; nothing where one has no size."""
    rows = Panel.objects.known_at(known_at).filter(placement=placed.id)
    rows = rows.exclude(panel_kind=PanelKind.IN_PLACE)  # cores of the work itself
    unit = UNIT_OF_VOLUME[job.unit_system]
    total = Decimal(0)
    for row in rows:
        sides = [
            as_quantity(s, row.size_unit) for s in (row.length, row.width, row.depth)
        ]
        if None in sides:
            return None
        long, wide, deep = (convert(s, to="m").value for s in sides if s is not None)
        total += convert(Quantity(long * wide * deep, "m3"), to=unit).value
    return Quantity(total, unit)


def _thickness(
    placed: Placed,
    design: Quantity | None,
    member: Membership,
    known_at: datetime,
) -> Thickness | None:
    if design is None:
        return None
    rows = Reading.objects.known_at(known_at).filter(
        placement=placed.id, reading_kind=ReadingKind.THICKNESS
    )
    sheets = reports_for(member, known_at=known_at).values("first")
    read = rows.filter(report__in=sheets) | rows.filter(report=None)
    return thickness_of(
        design, readings=[Quantity(row.value, row.value_unit) for row in read]
    )


def _warmth(
    placed: Placed, terms: Terms | None, member: Membership, known_at: datetime
) -> Iterable[Warmth]:
    sheets = reports_for(member, known_at=known_at).filter(shift=placed.shift.first)
    rows = Weather.objects.known_at(known_at).filter(report__in=sheets.values("first"))
    mix = _bounds(placed.mix)
    for row in rows.order_by("at"):
        air = as_quantity(row.air, row.temperature_unit)
        concrete = as_quantity(row.concrete, row.temperature_unit)
        read = {"air": air, "concrete": concrete}
        given = {name: value for name, value in read.items() if value is not None}
        verdict = judge_temperatures(WeatherAt(**given), terms=terms, mix=mix)
        yield Warmth(row.at, air, concrete, verdict)


def _bounds(mix: MixRevision | None) -> MixWeather:
    if mix is None:
        return MixWeather()
    unit = mix.temperature_unit
    return MixWeather(
        concrete_low=as_quantity(mix.temperature_low, unit),
        concrete_high=as_quantity(mix.temperature_high, unit),
    )


def _advice(placed: Placed, made: Volumes | None) -> Verdict | None:
    """Return what rebound is usual here; advice, beside a rebound by difference."""
    surface = (
        None if placed.part is None else SURFACES.get(Position(placed.part.position))
    )
    if surface is None or placed.mix is None:
        return None
    share = None if made is None else made.get("rebound of shot")
    if share is not None and not 0 <= share.value <= 100:
        share = None
    return rebound_advice(surface, Process(placed.mix.process), share=share)
