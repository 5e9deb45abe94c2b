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

from crews.models import Panel
from crews.queries.shooting import Frozen, Held, Placed, Stood
from inspections.domain.catalogue import AnswerState
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
from inspections.queries.known import amount, grouped, moment, pair
from inspections.queries.shift_record import ShiftRecord, shift_record
from project.domain.canonical import plain
from project.domain.units import Quantity
from project.models import Job

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

    Twenty-two queries at most, whatever was seen.
    """
    found = record or shift_record(report.shift, known_at=known_at)
    job = report.job
    own = {"report": report.first}
    codes = {one.id: one.code for one in found.placements}
    content = {
        "shape": SHAPE,
        "sheet": _head(report, job),
        "shift": _shift(found, job),
        "placed": [_placed(one, job) for one in found.placements],
        "crew": [_presence(stood, found, job) for stood in found.roster.presences],
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
    stops = shift.as_known("stops_at", at=found.known_at)
    return {
        "work_date": shift.work_date,
        "name": shift.name,
        "contractor": shift.organization.name,
        "starts": moment(shift.starts_at, job=job),
        "stops": moment(stops, job=job),
        "no_work": shift.no_work_reason,
    }


def _placed(one: Placed, job: Job) -> dict[str, Any]:
    row, part, mix = one.row, one.part, one.mix
    return {
        "placement": one.code,
        "part": row.part.code,
        "part_words": "" if part is None else part.name,
        "position": "" if part is None else part.position,
        "mix": "" if mix is None else mix.code,
        "mix_revision": None if mix is None else mix.revision,
        "process": "" if mix is None else mix.process,
        "method": row.method,
        "crew": row.crew.code,
        "rig": row.rig.code,
        "extent": row.extent,
        "repairs": row.repairs,
        "neat": neat_pair(one.neat),
        "nozzle_times": [_nozzle_time(held, job) for held in one.times],
    }


def neat_pair(neat: Quantity | None) -> list[str] | None:
    """Return a neat volume to two decimals, where the drawing gives one."""
    if neat is None:
        return None
    rounded = neat.value.quantize(Decimal("0.01"), rounding=ROUND_HALF_EVEN)
    return [str(rounded), neat.unit]


def _nozzle_time(held: Held, job: Job) -> dict[str, Any]:
    return {
        "operator": held.code,
        "name": held.operator.legal_name,
        "start": moment(held.started_at, job=job),
        "stop": moment(held.stopped_at, job=job),
        "volume": None if held.stated is None else pair(held.stated),
        "volume_basis": held.basis or "",
        "neat": neat_pair(held.neat.volume),
        "standing": _standing(held.take, job),
    }


def _standing(taken: Frozen | None, job: Job) -> dict[str, Any] | None:
    """Return what was frozen at the take: its state, and each reason not met."""
    if taken is None:
        return None
    return {
        "state": taken.state,
        "known": moment(taken.row.known_at, job=job),
        "unmet": [
            {"gate": reason.key, "state": reason.state, "found": reason.found}
            for reason in taken.verdict.unmet
        ],
    }


def _presence(stood: Stood, found: ShiftRecord, job: Job) -> dict[str, Any]:
    row = stood.row
    return {
        "role": stood.role,
        "name": stood.name,
        "operator": found.codes.get(row.operator_id, "") if row.operator_id else "",
        "part": "" if row.part is None else row.part.code,
        "from": moment(stood.from_at, job=job),
        "to": moment(stood.to_at, job=job),
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
        "operator": found.codes.get(row.operator_id, "") if row.operator_id else "",
        "name": row.operator.legal_name if row.operator else "",
        "shared_with": found.codes.get(shared.pk, "") if shared else "",
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
