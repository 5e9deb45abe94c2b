"""The work placed, and who held the nozzle as of each shift."""

from __future__ import annotations

from collections.abc import Sequence

from django.utils.translation import gettext as _

from crews.queries.shooting import Held, Placed, ShiftRoster
from inspections.packet.gathering.reading import (
    Reading,
    came,
    hundredth,
    neat,
    tenth,
)
from inspections.packet.gathering.turned import Turned, nozzle_times
from inspections.packet.shape import (
    Mark,
    NotQualified,
    NozzleTime,
    Roster,
    Shift,
    Total,
    mark,
)
from inspections.packet.shape import Placed as PlacedRow
from inspections.packet.shape import Work as WorkSection
from inspections.queries.volumes import delivered
from project.charts.stamps import eligibility_stamp
from project.domain.units import Quantity
from project.domain.verdict import State, Verdict


def work_section(reading: Reading) -> WorkSection:
    """Return the placements of the week with the totals carried."""
    before = _before(reading)
    return {
        "rows": [_placed(reading, one) for one in reading.week.placed],
        "totals": [
            _total(_("This week"), neat(reading.week), came(reading.week)),
            _total(_("Brought forward"), *before),
            _total(_("To date"), neat(reading.to_date), came(reading.to_date)),
        ],
    }


def _total(label: str, placed: Quantity | None, brought: Quantity) -> Total:
    return {"label": label, "neat": tenth(placed), "delivered": hundredth(brought)}


def _before(reading: Reading) -> tuple[Quantity | None, Quantity]:
    """Return what was placed and brought before the week: to date, less the week."""
    brought, week = came(reading.to_date), came(reading.week)
    earlier = Quantity(brought.value - week.value, brought.unit)
    all_neat, own = neat(reading.to_date), neat(reading.week)
    if all_neat is None:
        return None, earlier
    less = all_neat.value - (own.value if own else 0)
    return Quantity(less, all_neat.unit), earlier


def _placed(reading: Reading, one: Placed) -> PlacedRow:
    loads = [row for row in reading.week.loads if row.placement_id == one.id]
    shares = [reading.week.shares.get(held.id) for held in one.times]
    # How a volume was shared out is a question only where several held the nozzle.
    shared = [share for share in shares if share is not None and len(shares) > 1]
    bases = {share.words for share in shared}
    start = one.started_at or one.shift.starts_at
    return {
        "placement": one.code,
        "part": one.row.part.code,
        "part_words": one.part.name if one.part else "",
        "position": one.part.position if one.part else "",
        "mix": str(one.mix or ""),
        "operators": [held.code for held in one.times],
        "work_date": one.shift.work_date.isoformat(),
        "start": reading.moment(start),
        "stop": reading.maybe(one.stopped_at),
        "neat": tenth(one.neat),
        "delivered": hundredth(delivered(reading.job, loads)) if loads else "",
        "basis": ", ".join(sorted(bases)),
    }


def roster_section(reading: Reading, turned: Sequence[Turned]) -> Roster:
    """Return who held the nozzle, as frozen, and what was learned after a take."""
    raised = {row.row.about_id: row.row.code for row in reading.nonconformances}
    shifts = [_shift(reading, one) for one in reading.rosters if one.placements]
    refused = [
        _not_qualified(reading, placed, held, raised.get(held.id, ""))
        for placed, held in nozzle_times(reading.week)
        if held.frozen is not None and held.frozen.state is State.FAIL
    ]
    return {
        "shifts": shifts,
        "not_qualified": refused,
        "later": [one.words for one in turned],
    }


def _shift(reading: Reading, one: ShiftRoster) -> Shift:
    return {
        "work_date": one.shift.work_date.isoformat(),
        "name": one.shift.name,
        "contractor": one.shift.organization.name,
        "crews": _crews(one),
        "rows": [
            _nozzle_time(reading, placed, held)
            for placed in one.placements
            for held in placed.times
        ],
    }


def _crews(one: ShiftRoster) -> list[str]:
    """Return who stood beside the nozzle, each role once, in the order they came."""
    by_role: dict[str, list[str]] = {}
    for stood in one.presences:
        names = by_role.setdefault(stood.role, [])
        if stood.name not in names:
            names.append(stood.name)
    crews = sorted({placed.row.crew.code for placed in one.placements})
    said = "; ".join(f"{role} {', '.join(names)}" for role, names in by_role.items())
    title = _("Crew %(code)s") % {"code": ", ".join(crews)}
    return [f"{title}: {said}"] if said else [title]


def _key(placed: Placed, held: Held) -> str:
    return f"{placed.code}/{held.code}/{held.started_at:%H%M}"


def _nozzle_time(reading: Reading, placed: Placed, held: Held) -> NozzleTime:
    frozen = held.frozen
    verdict = frozen.verdict if frozen else None
    return {
        "operator": held.code,
        "name": held.operator.legal_name,
        "placement": placed.code,
        "part": placed.row.part.code,
        "position": placed.part.position if placed.part else "",
        "process": placed.mix.process if placed.mix else "",
        "mix": str(placed.mix or ""),
        "start": reading.moment(held.started_at),
        "stop": reading.maybe(held.stopped_at),
        "volume": tenth(held.neat.volume),
        "card": _card(verdict),
        "mark": _standing(verdict),
        "words": _unmet(verdict),
        "known": reading.moment(frozen.row.known_at if frozen else held.started_at),
        "verdict": reading.verdict(_key(placed, held), verdict) if verdict else "",
    }


def _standing(verdict: Verdict | None) -> Mark:
    if verdict is None:
        return mark("undecided")
    return mark(eligibility_stamp(verdict.state).name)


def _unmet(verdict: Verdict | None) -> str:
    """Say what is not met or under a condition; what two gates found, once."""
    said = (reason.found for reason in verdict.unmet) if verdict else ()
    return "; ".join(dict.fromkeys(said))


def _card(verdict: Verdict | None) -> str:
    gates = verdict.reasons if verdict else ()
    return next((reason.found for reason in gates if reason.key == "card"), "")


def _not_qualified(
    reading: Reading, placed: Placed, held: Held, report: str
) -> NotQualified:
    frozen = held.frozen
    return {
        "operator": held.code,
        "name": held.operator.legal_name,
        "placement": placed.code,
        "part": placed.row.part.code,
        "start": reading.moment(held.started_at),
        "stop": reading.maybe(held.stopped_at),
        "volume": tenth(held.neat.volume),
        "report": report,
        "verdict": (
            reading.verdict(_key(placed, held), frozen.verdict) if frozen else ""
        ),
    }
