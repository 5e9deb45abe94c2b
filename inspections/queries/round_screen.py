"""The round screen: what to look at now, who holds the nozzle, what was said last."""

from __future__ import annotations

from collections.abc import Sequence
from dataclasses import dataclass
from datetime import datetime, timedelta
from uuid import UUID

from crews.models import NozzleTime, Placement
from inspections.domain.catalogue import AnswerState, Edition, Item, RoundKind
from inspections.models import DailyReport, Round
from inspections.queries.catalogue import CURRENT, edition
from inspections.queries.walks import Ground, ground_of, nozzle_times_at
from project.domain.units import convert
from project.models import ElementPart, Job
from project.queries.jobs import terms_in_force


@dataclass(frozen=True, slots=True)
class AskedItem:
    """One item of the walk, with the last answer it got on this part."""

    item: Item
    last: AnswerState | None
    last_at: datetime | None
    last_value: tuple[str, str] | None


@dataclass(frozen=True, slots=True)
class RoundScreen:
    """Everything the screen draws. `due_at` is when the contract wants the next walk."""

    edition: Edition
    kinds: tuple[RoundKind, ...]
    placement: Placement | None
    ground: Ground
    items: tuple[AskedItem, ...]
    on_nozzle: tuple[NozzleTime, ...]
    walked: tuple[Round, ...]
    due_at: datetime | None

    @property
    def hearts(self) -> tuple[AskedItem, ...]:
        return tuple(one for one in self.items if one.item.heart)

    @property
    def rest(self) -> tuple[AskedItem, ...]:
        return tuple(one for one in self.items if not one.item.heart)


def round_screen(
    job: Job,
    report: DailyReport | None,
    *,
    kinds: Sequence[RoundKind],
    known_at: datetime,
    at: datetime,
    placement: Placement | None = None,
    part: ElementPart | None = None,
) -> RoundScreen:
    """Return the screen of one walk at an instant. Six queries.

    Items are those of the kinds asked, filtered by the part's process, position and
    features; what is not known hides nothing. Without a sheet the walks before it are
    those of the part that stand without one.
    """
    found = edition(CURRENT)
    ground = ground_of(part=part, placement=placement, known_at=known_at)
    walked = _walked(report, ground, known_at=known_at)
    return RoundScreen(
        edition=found,
        kinds=tuple(kinds),
        placement=placement,
        ground=ground,
        items=tuple(_asked(item, walked) for item in ground.asks(found, kinds=kinds)),
        on_nozzle=()
        if placement is None
        else tuple(nozzle_times_at(placement, at=at, known_at=known_at)),
        walked=tuple(walked),
        due_at=_due(job, report, walked, known_at=known_at),
    )


def placement_of(
    report: DailyReport, id: UUID, *, known_at: datetime
) -> Placement | None:
    """Return a placement of the sheet's own shift, or nothing."""
    rows = Placement.objects.known_at(known_at).filter(shift=report.shift_id, first=id)
    return rows.select_related("part", "mix_revision", "shift").first()


def _walked(
    report: DailyReport | None, ground: Ground, *, known_at: datetime
) -> list[Round]:
    """Return the sheet's walks on this part, or all of them, the latest first."""
    sheet = None if report is None else report.first
    rows = Round.objects.known_at(known_at).filter(report=sheet)
    if ground.part is not None:
        rows = rows.filter(part=ground.part)
    return list(rows.order_by("-at", "-recorded_at"))


def _asked(item: Item, walked: Sequence[Round]) -> AskedItem:
    silent = str(AnswerState.NOT_LOOKED_AT)
    for walk in walked:
        for one in walk.answers:
            if one["item"] == item.key and one["answer"] != silent:
                value = one["value"]
                return AskedItem(
                    item=item,
                    last=AnswerState(one["answer"]),
                    last_at=walk.at,
                    last_value=None if value is None else (value[0], value[1]),
                )
    return AskedItem(item=item, last=None, last_at=None, last_value=None)


def _due(
    job: Job, report: DailyReport | None, walked: Sequence[Round], *, known_at: datetime
) -> datetime | None:
    """Return when the next walking round is due, where the terms give an interval."""
    if report is None:
        return None
    terms = terms_in_force(job, on=report.shift.work_date, known_at=known_at)
    interval = None if terms is None else terms.quantity("round_interval")
    last = next(
        (walk.at for walk in walked if str(RoundKind.ROUND) in walk.round_kinds), None
    )
    if interval is None or last is None:
        return None
    return last + timedelta(minutes=int(convert(interval, to="min").value))
