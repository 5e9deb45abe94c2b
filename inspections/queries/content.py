"""The whole sheet as plain data, in a fixed order: what is read, hashed and signed.

No word of it is translated and nothing depends on when it is asked, only on what is
on record; so the same record gives the same hash on every machine.
"""

from __future__ import annotations

from collections import Counter
from collections.abc import Sequence
from datetime import datetime
from decimal import ROUND_HALF_EVEN, Decimal
from typing import Any

from crews.models import NozzleTime, Panel, Placement, Presence
from inspections.domain.catalogue import AnswerState
from inspections.domain.placing import neat_volume
from inspections.models import (
    DailyReport,
    Deficiency,
    Load,
    Move,
    Photo,
    Reading,
    Remark,
    ReportVersion,
    Round,
    Weather,
)
from inspections.queries.catalogue import edition
from inspections.queries.known import amount, grouped, moment
from inspections.queries.shift_record import ShiftRecord, shift_record
from project.domain.canonical import plain
from project.domain.frozen import thawed
from project.models import Job, PartRevision
from project.models.jobs import UnitSystem
from project.models.records import as_quantity

# The shape of a sheet's content; a change an older reader would misread raises it.
SHAPE = 1


def report_content(report: DailyReport, *, known_at: datetime) -> dict[str, Any]:
    """Return the sheet: as it was last signed, or as it stands while it is a draft."""
    signed = ReportVersion.objects.filter(
        report=report.first, recorded_at__lte=known_at
    )
    last = signed.order_by("-n").first()
    return content_now(report, known_at=known_at) if last is None else last.content


def content_now(
    report: DailyReport, *, known_at: datetime, record: ShiftRecord | None = None
) -> dict[str, Any]:
    """Return what the sheet would say if it were signed as known at an instant.

    Seventeen queries at most, whatever was seen.
    """
    found = record or shift_record(report.shift, known_at=known_at)
    job = report.job
    own = {"report": report.first}
    codes = {row.first: row.code for row in found.placements}
    content = {
        "shape": SHAPE,
        "sheet": _head(report, job),
        "shift": _shift(found, job),
        "placed": [_placed(row, found, job) for row in found.placements],
        "crew": [_presence(row, found, job) for row in found.presences],
        "loads": [_load(row, found, codes, job) for row in found.loads],
        "weather": [
            _weather(row, job) for row in _rows(Weather, known_at, own, "at", "id")
        ],
        "rounds": [
            _round(row, codes, job)
            for row in _rows(Round, known_at, own, "at", "id").select_related("part")
        ],
        "readings": [
            _reading(row, codes, job)
            for row in _rows(
                Reading, known_at, own, "reading_kind", "at", "place", "id"
            ).select_related("part")
        ],
        "panels": [_panel(row, found, codes, job) for row in found.panels],
        "deficiencies": _deficiencies(own, known_at, job),
        "remarks": [
            {
                "at": moment(row.at, job=job),
                "kind": row.remark_kind,
                "words": row.words,
            }
            for row in _rows(Remark, known_at, own, "at", "id")
        ],
        "photographs": [
            _photograph(row, job)
            for row in _rows(Photo, known_at, own, "number").select_related(
                "attachment", "part", "deficiency"
            )
        ],
    }
    kept = plain(content)
    assert isinstance(kept, dict)  # noqa: S101 - says to the checker what plain returns
    return kept


def _rows(model: Any, known_at: datetime, own: dict[str, Any], *order: str) -> Any:
    return model.objects.known_at(known_at).filter(**own).order_by(*order)


def _head(report: DailyReport, job: Job) -> dict[str, Any]:
    return {
        "number": report.code,
        "job": job.code,
        "job_name": job.name,
        "contract": job.contract_number,
        "owner": job.owner.name,
        "firm": report.organization.name,
        "inspector": report.inspector.user.printed_name,
        "role": report.inspector.role,
        "title": report.inspector.title,
    }


def _shift(found: ShiftRecord, job: Job) -> dict[str, Any]:
    shift = found.shift
    stops = shift.stops_at
    if shift.stops_recorded_at and shift.stops_recorded_at > found.known_at:
        stops = None
    return {
        "work_date": shift.work_date,
        "name": shift.name,
        "contractor": shift.organization.name,
        "starts": moment(shift.starts_at, job=job),
        "stops": moment(stops, job=job),
        "no_work": shift.no_work_reason,
    }


def _placed(row: Placement, found: ShiftRecord, job: Job) -> dict[str, Any]:
    part = found.parts.get(row.part_id)
    return {
        "placement": row.code,
        "part": row.part.code,
        "part_words": "" if part is None else part.name,
        "position": "" if part is None else part.position,
        "mix": row.mix_revision.code,
        "mix_revision": row.mix_revision.revision,
        "process": row.mix_revision.process,
        "method": row.method,
        "crew": row.crew.code,
        "rig": row.rig.code,
        "extent": row.extent,
        "repairs": row.repairs,
        "neat": neat_pair(row, part, job),
        "nozzle_times": [
            _nozzle_time(time, found, job)
            for time in found.nozzle_times.get(row.first, [])
        ],
    }


def neat_pair(row: Placement, part: PartRevision | None, job: Job) -> list[str] | None:
    """Return a placement's neat volume to two decimals, where the drawing gives it."""
    area = as_quantity(row.area, row.area_unit)
    thickness = as_quantity(row.thickness, row.thickness_unit)
    if part is not None:
        area = area or as_quantity(part.area, part.area_unit)
        thickness = thickness or as_quantity(part.thickness, part.thickness_unit)
    if area is None or thickness is None or area.value <= 0 or thickness.value <= 0:
        return None
    unit = "yd3" if job.unit_system == UnitSystem.US else "m3"
    exact = neat_volume(area, thickness=thickness, unit=unit).value
    return [str(exact.quantize(Decimal("0.01"), rounding=ROUND_HALF_EVEN)), unit]


def _nozzle_time(row: NozzleTime, found: ShiftRecord, job: Job) -> dict[str, Any]:
    return {
        "operator": found.operator_code(row.operator_id),
        "name": row.operator.legal_name,
        "start": moment(row.started_at, job=job),
        "stop": moment(row.stopped_at, job=job),
        "volume": amount(row.volume, row.volume_unit),
        "volume_basis": row.volume_basis,
        "standing": _standing(row, found, job),
    }


def _standing(row: NozzleTime, found: ShiftRecord, job: Job) -> dict[str, Any] | None:
    """Return what was frozen at the take: its state, and each reason not met."""
    taken = found.standings.get(row.first)
    if taken is None:
        return None
    return {
        "state": taken.state,
        "known": moment(taken.known_at, job=job),
        "unmet": [
            {"gate": reason.key, "state": reason.state.value, "found": reason.found}
            for reason in thawed(taken.verdict).unmet
        ],
    }


def _presence(row: Presence, found: ShiftRecord, job: Job) -> dict[str, Any]:
    if row.operator is not None:
        name, code = row.operator.legal_name, found.operator_code(row.operator.pk)
    elif row.crew_member is not None:
        name, code = row.crew_member.name, ""
    else:
        name = row.membership.user.printed_name if row.membership else ""
        code = ""
    return {
        "role": row.role,
        "name": name,
        "operator": code,
        "part": "" if row.part is None else row.part.code,
        "from": moment(row.from_at, job=job),
        "to": moment(row.to_at, job=job),
    }


def _load(
    row: Load, found: ShiftRecord, codes: dict[Any, str], job: Job
) -> dict[str, Any]:
    mix = row.mix_revision
    return {
        "order": row.order,
        "kind": row.load_kind,
        "supplier": "" if row.supplier is None else row.supplier.name,
        "truck": row.truck,
        "ticket": row.ticket,
        "lot": row.lot,
        "placement": codes.get(row.placement_id, ""),
        "mix": row.mix_as_printed if mix is None else mix.code,
        "mix_revision": None if mix is None else mix.revision,
        "volume": amount(row.volume, row.volume_unit),
        "returned": amount(row.returned, row.volume_unit),
        "batched": moment(row.batched_at, job=job),
        "arrived": moment(row.arrived_at, job=job),
        "first_shot": moment(row.first_shot_at, job=job),
        "last_shot": moment(row.last_shot_at, job=job),
        "water_added": amount(row.water_added, row.water_added_unit),
        "accepted": row.accepted,
        "refused_because": row.refused_because,
        "tests": [
            {
                "at": moment(test.at, job=job),
                "kind": test.test_kind,
                "value": amount(test.value, test.value_unit),
                "retest": test.retest,
            }
            for test in found.tests.get(row.first, [])
        ],
    }


def _weather(row: Weather, job: Job) -> dict[str, Any]:
    return {
        "at": moment(row.at, job=job),
        "air": amount(row.air, row.temperature_unit),
        "humidity": amount(row.humidity, row.humidity_unit),
        "wind": amount(row.wind, row.wind_unit),
        "concrete": amount(row.concrete, row.temperature_unit),
        "sky": row.sky,
        "means": row.means,
    }


def _round(row: Round, codes: dict[Any, str], job: Job) -> dict[str, Any]:
    titles = edition(row.edition)
    states = Counter(one["answer"] for one in row.answers)
    return {
        "at": moment(row.at, job=job),
        "kinds": row.round_kinds,
        "part": "" if row.part is None else row.part.code,
        "placement": codes.get(row.placement_id, ""),
        "edition": row.edition,
        "language": row.language,
        "counts": {str(state): states[state] for state in AnswerState},
        "answers": [
            {**one, "title": titles.item(one["item"]).title.in_language(job.language)}
            for one in row.answers
        ],
    }


def _reading(row: Reading, codes: dict[Any, str], job: Job) -> dict[str, Any]:
    return {
        "kind": row.reading_kind,
        "at": moment(row.at, job=job),
        "part": "" if row.part is None else row.part.code,
        "placement": codes.get(row.placement_id, ""),
        "place": row.place,
        "value": amount(row.value, row.value_unit),
        "means": row.means,
    }


def _panel(
    row: Panel, found: ShiftRecord, codes: dict[Any, str], job: Job
) -> dict[str, Any]:
    shared = row.shared_with
    return {
        "panel": row.code,
        "kind": row.panel_kind,
        "mix": row.mix_revision.code,
        "mix_revision": row.mix_revision.revision,
        "position": row.position,
        "operator": found.operator_code(row.operator_id) if row.operator_id else "",
        "name": row.operator.legal_name if row.operator else "",
        "shared_with": found.operator_code(shared.pk) if shared else "",
        "part": "" if row.part is None else row.part.code,
        "placement": codes.get(row.placement_id, ""),
        "from": moment(row.shot_from, job=job),
        "to": moment(row.shot_to, job=job),
        "size": [
            amount(side, row.size_unit) for side in (row.length, row.width, row.depth)
        ],
        "witness": row.witness.user.printed_name if row.witness else "",
        "witness_words": row.witness_words,
    }


def _deficiencies(
    own: dict[str, Any], known_at: datetime, job: Job
) -> list[dict[str, Any]]:
    rows = list(
        _rows(Deficiency, known_at, own, "number").select_related("part", "round")
    )
    moves = Move.objects.filter(
        deficiency__in=[row.first for row in rows], recorded_at__lte=known_at
    )
    by_row = grouped(
        moves.select_related("recorded_by__user").order_by("n"),
        lambda move: move.deficiency_id,
    )
    return [_deficiency(row, by_row.get(row.first, []), job) for row in rows]


def _deficiency(row: Deficiency, moves: Sequence[Move], job: Job) -> dict[str, Any]:
    version = edition() if row.round is None else edition(row.round.edition)
    return {
        "number": row.code,
        "item": row.item,
        "title": version.item(row.item).title.in_language(job.language),
        "part": "" if row.part is None else row.part.code,
        "seen": moment(row.seen_at, job=job),
        "severity": row.severity,
        "place": row.place,
        "words": row.words,
        "cause": row.cause,
        "volume_removed": amount(row.volume_removed, row.volume_removed_unit),
        "state": moves[-1].state if moves else "open",
        "moves": [
            {
                "move": move.move,
                "state": move.state,
                "at": moment(move.at, job=job),
                "by": move.recorded_by.user.printed_name,
                "words": move.words,
                "evidence": move.evidence,
            }
            for move in moves
        ],
    }


def _photograph(row: Photo, job: Job) -> dict[str, Any]:
    return {
        "number": row.code,
        "sha256": row.attachment.sha256,
        "at": moment(row.at, job=job),
        "caption": row.caption,
        "part": "" if row.part is None else row.part.code,
        "place": row.place,
        "item": row.item,
        "deficiency": "" if row.deficiency is None else row.deficiency.code,
        "shows": row.shows,
    }
