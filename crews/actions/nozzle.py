"""Taking and leaving the nozzle, and the conclusion that is frozen each time."""

from __future__ import annotations

from datetime import datetime
from typing import Any
from uuid import UUID

from django.utils.translation import gettext as _

from crews.actions.checks import (
    for_firm,
    in_force,
    measured,
    not_later,
    positive,
    shown,
)
from crews.domain.trade_words import Moment, VolumeBasis
from crews.models import Eligibility, NozzleTime, Operator, Placement
from crews.queries.operator_files import ever_of
from crews.queries.qualification import qualification_record
from crews.queries.supervision import Time, around, watch_of
from project.actions.abilities import require
from project.actions.checks import (
    of_job,
    refuse,
    sent_before,
)
from project.audit import Deed, act
from project.domain.frozen import evidence_of, frozen
from project.domain.identity import derived
from project.domain.roles import Ability
from project.domain.units import Quantity
from project.models import Membership


def take_nozzle(
    *,
    id: UUID,
    by: Membership,
    placement: Placement,
    operator: Operator,
    at: datetime,
    known_at: datetime | None = None,
    device_at: datetime | None = None,
    shown_state: dict[str, Any] | None = None,
) -> tuple[NozzleTime, Eligibility]:
    """Record that an operator took the nozzle, and freeze whether they might.

    Nobody is stopped here: whatever the record says of the operator, what happened
    is kept. `known_at` is the instant whose knowledge the person at the wall had,
    where the entry reaches the record later. An outer act must name the operator's
    firm in `also`, so that no card is recorded in between.
    """
    require(by, Ability.RECORD_SHOOTING)
    job = by.job
    of_job(job, placement=placement)
    for_firm(by, placement.shift.organization_id)
    firm = (operator.organization,)
    with act(on=job, by=by, verb="nozzle.taken", also=firm) as deed:
        before = sent_before(deed, NozzleTime, id, job_id=job.pk)
        if before is not None:
            return before, _frozen_at(before, Moment.TAKE)
        not_later("at", at, than=deed.at, job=job)
        not_on_another(operator, by=by, start=at, stop=None)
        taken = deed.add(
            NozzleTime(
                id=id,
                job=job,
                placement_id=placement.first,
                operator=operator,
                started_at=at,
                device_at=device_at,
            )
        )
        knew = min(known_at or deed.at, deed.at)
        frozen_row = _freeze(
            deed, taken, Moment.TAKE, known_at=knew, shown_state=shown_state
        )
        return taken, frozen_row


def leave_nozzle(
    *,
    by: Membership,
    nozzle_time: NozzleTime,
    at: datetime,
    volume: Quantity | None = None,
    volume_basis: VolumeBasis = VolumeBasis.LOADS,
    known_at: datetime | None = None,
) -> Eligibility:
    """Record that the nozzle was left, and freeze the whole interval.

    `volume` only where somebody knows it at the leave: loads shared at hand-over, or
    the face shot; otherwise it is computed and marked so.
    """
    require(by, Ability.RECORD_SHOOTING)
    job = by.job
    of_job(job, nozzle_time=nozzle_time)
    for_firm(by, nozzle_time.placement.shift.organization_id)
    positive(volume=volume)
    firm = (nozzle_time.operator.organization,)
    with act(on=job, by=by, verb="nozzle.left", also=firm) as deed:
        held = in_force(nozzle_time)
        columns: dict[str, Any] = {}
        if volume is not None:
            columns |= measured("volume", unit="volume_unit", volume=volume)
            columns["volume_basis"] = volume_basis
        if held.stopped_at == at:
            said = {k: v for k, v in columns.items() if getattr(held, k) != v}
            if said:
                deed.fill(held, **said)
            return _frozen_at(held, Moment.WHOLE_INTERVAL)
        not_later("stopped_at", at, than=deed.at, job=job)
        if at <= held.started_at:
            message = _("Stop %(stop)s; allowed is later than the start, %(start)s.")
            start = shown(held.started_at, job)
            refuse("stopped_at", message, stop=shown(at, job), start=start)
        not_on_another(
            held.operator,
            by=by,
            start=held.started_at,
            stop=at,
            apart_from=held.pk,
        )
        deed.fill(held, stopped_at=at, **columns)
        knew = min(known_at or deed.at, deed.at)
        return _freeze(deed, held, Moment.WHOLE_INTERVAL, known_at=knew)


def record_nozzle_time(
    *,
    id: UUID,
    by: Membership,
    placement: Placement,
    operator: Operator,
    started_at: datetime,
    stopped_at: datetime,
    volume: Quantity | None = None,
    volume_basis: VolumeBasis = VolumeBasis.LOADS,
    known_at: datetime | None = None,
) -> tuple[NozzleTime, Eligibility]:
    """Record a whole nozzle time from a paper note: a take and a leave in one act."""
    firm = (operator.organization,)
    with act(on=by.job, by=by, verb="nozzle.time_recorded", also=firm):
        taken, _take = take_nozzle(
            id=id,
            by=by,
            placement=placement,
            operator=operator,
            at=started_at,
            known_at=known_at,
        )
        whole = leave_nozzle(
            by=by,
            nozzle_time=taken,
            at=stopped_at,
            volume=volume,
            volume_basis=volume_basis,
            known_at=known_at,
        )
        return in_force(taken), whole


def freeze_again(deed: Deed, held: NozzleTime) -> None:
    """Judge a nozzle time that was put right, as known now."""
    _freeze(deed, held, Moment.TAKE, known_at=deed.at)
    if held.stopped_at is not None:
        _freeze(deed, held, Moment.WHOLE_INTERVAL, known_at=deed.at)


def not_on_another(
    operator: Operator,
    *,
    by: Membership,
    start: datetime,
    stop: datetime | None,
    apart_from: UUID | None = None,
) -> None:
    """Refuse a second nozzle in one pair of hands, naming both times.

    A take asks only about its own instant: what comes later is asked at the leave.
    """
    rows = NozzleTime.objects.filter(ever_of(NozzleTime, by.job, [operator.pk]))
    versions = list(rows.select_related("placement").order_by("started_at"))
    gone = {row.supersedes_id for row in versions} | {apart_from}
    for other in versions:
        held = other.operator_id == operator.pk
        if not held or other.withdrawn or other.pk in gone:
            continue
        ended = other.stopped_at is not None and other.stopped_at <= start
        later = other.started_at >= stop if stop else other.started_at > start
        if not ended and not later:
            _refuse_overlap(by, operator, other, start, stop)


def _refuse_overlap(
    by: Membership,
    operator: Operator,
    other: NozzleTime,
    start: datetime,
    stop: datetime | None,
) -> None:
    message = _(
        "%(operator)s, %(given)s: on the nozzle of %(code)s %(other)s already. "
        "Allowed are times that do not overlap."
    )
    refuse(
        "started_at" if stop is None else "stopped_at",
        message,
        operator=operator,
        given=_span(by, start, stop),
        code=other.placement,
        other=_span(by, other.started_at, other.stopped_at),
    )


def _span(by: Membership, start: datetime, stop: datetime | None) -> str:
    end = shown(stop, by.job) if stop else _("not left yet")
    return f"{shown(start, by.job)} – {end}"


def _freeze(
    deed: Deed,
    held: NozzleTime,
    moment: Moment,
    *,
    known_at: datetime,
    shown_state: dict[str, Any] | None = None,
) -> Eligibility:
    """Judge as known then, and keep the conclusion with what it rested on."""
    placement = in_force(held.placement)
    whole = moment is Moment.WHOLE_INTERVAL
    time = Time(held, placement, held.stopped_at if whole else None)
    # Who stood there the whole time is told with the leave: it is known when that is.
    seen = around(time, known_at=deed.at if whole else known_at)
    asked_of = {held.operator} | seen.people(held.job, time)
    record = qualification_record(
        held.job,
        known_at=known_at,
        operators=asked_of,
        only={one.placement.part_id for one in (time, *seen.others)},
    )
    verdict = record.placement_standing(
        placement,
        operator=held.operator,
        start=held.started_at,
        stop=time.stop,
        watch=watch_of(record, time, stands=seen.stands, others=seen.others),
    )
    on = held.job.local(held.started_at).date()
    terms = record.terms_row(on)
    rested_on = [[ref.kind, ref.id] for ref in evidence_of(verdict)]
    rows = (record.parts.get(placement.part_id), terms, placement, held)
    rested_on += [[row.kind, str(row.pk)] for row in rows if row is not None]
    return deed.add(
        Eligibility(
            id=derived(held.pk, moment.value),
            job=held.job,
            operator=held.operator,
            part_id=placement.part_id,
            mix_revision_id=placement.mix_revision_id,
            method=placement.method,
            rig=placement.rig,
            moment=moment,
            nozzle_time_id=held.first,
            as_of=held.started_at,
            until=time.stop,
            known_at=known_at,
            state=verdict.state,
            verdict=frozen(verdict),
            evidence=rested_on,
            terms_number=terms.number if terms else None,
            shown=shown_state,
        )
    )


def _frozen_at(held: NozzleTime, moment: Moment) -> Eligibility:
    return Eligibility.objects.get(pk=derived(held.pk, moment.value))
