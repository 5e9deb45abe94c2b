"""Shifts, who stood where, and placements."""

from __future__ import annotations

from datetime import date, datetime
from uuid import UUID

from django.utils.translation import gettext as _

from crews.actions.checks import (
    code_or_next,
    for_firm,
    in_force,
    latest,
    measured,
    not_after_today,
    not_later,
    not_negative,
    on_job,
    positive,
    shown,
)
from crews.domain.trade_words import Method, PresenceRole, ShiftName
from crews.models import (
    Crew,
    CrewMember,
    Operator,
    Placement,
    Presence,
    Rig,
    Shift,
)
from project.actions.abilities import require
from project.actions.checks import (
    of_job,
    refuse,
    sent_before,
)
from project.audit import act
from project.domain.roles import Ability
from project.domain.units import Quantity
from project.models import Coat, ElementPart, Membership, MixRevision, Organization


def open_shift(
    *,
    id: UUID,
    by: Membership,
    contractor: Organization,
    work_date: date,
    name: ShiftName,
    starts_at: datetime,
    no_work_reason: str = "",
) -> Shift:
    """Open a contractor's shift, or find the one that somebody opened before."""
    require(by, Ability.RECORD_SHOOTING)
    for_firm(by, contractor.pk)
    job = by.job
    on_job(job, contractor=contractor)
    if job.local(starts_at).date() != work_date:
        message = _("Start %(start)s; allowed is a time on %(day)s, the work date.")
        refuse("starts_at", message, start=shown(starts_at, job), day=work_date)
    with act(on=job, by=by, verb="shift.opened") as deed:
        not_after_today("work_date", work_date, at=deed.at, job=job)
        named = {"organization": contractor, "work_date": work_date, "name": name}
        opened: Shift | None = Shift.objects.filter(
            job=job, supersedes=None, **named
        ).first()
        shift = Shift(
            id=id, job=job, starts_at=starts_at, no_work_reason=no_work_reason, **named
        )
        if opened is None:
            return sent_before(deed, Shift, id, job_id=job.pk) or deed.add(shift)
        last = latest(opened)
        if not last.withdrawn:
            return last
        return deed.supersede(last, shift, reason=_("Opened again."))


def close_shift(*, by: Membership, shift: Shift, stops_at: datetime) -> Shift:
    """Say when a shift stopped. Saying the same again changes nothing."""
    require(by, Ability.RECORD_SHOOTING)
    of_job(by.job, shift=shift)
    for_firm(by, shift.organization_id)
    with act(on=by.job, by=by, verb="shift.closed") as deed:
        shift = in_force(shift)
        if shift.stops_at == stops_at:
            return shift
        not_later("stops_at", stops_at, than=deed.at, job=by.job)
        return deed.fill(shift, stops_at=stops_at)


def note_presence(
    *,
    id: UUID,
    by: Membership,
    shift: Shift,
    role: PresenceRole,
    from_at: datetime,
    to_at: datetime | None = None,
    part: ElementPart | None = None,
    operator: Operator | None = None,
    crew_member: CrewMember | None = None,
    membership: Membership | None = None,
) -> Presence:
    """Note who stood where: one operator, one of the crew, or one member."""
    require(by, Ability.RECORD_SHOOTING)
    job = by.job
    of_job(job, shift=shift, part=part, membership=membership)
    for_firm(by, shift.organization_id)
    people = (operator, crew_member, membership)
    if sum(person is not None for person in people) != 1:
        refuse(
            "person", _("Name one person: an operator, one of the crew or a member.")
        )
    for person in (operator, crew_member):
        if person is not None and person.organization_id != shift.organization_id:
            refuse("person", _("%(who)s is not of this shift's firm."), who=person)
    with act(on=job, by=by, verb="presence.noted") as deed:
        before = sent_before(deed, Presence, id, job_id=job.pk)
        if before is not None:
            return before
        not_later("from_at", from_at, than=deed.at, job=job)
        if to_at is not None:
            not_later("to_at", to_at, than=deed.at, job=job)
        return deed.add(
            Presence(
                id=id,
                job=job,
                shift_id=shift.first,
                part=part,
                role=role,
                operator=operator,
                crew_member=crew_member,
                membership=membership,
                from_at=from_at,
                to_at=to_at,
            )
        )


def end_presence(*, by: Membership, presence: Presence, to_at: datetime) -> Presence:
    """Say until when somebody stood there. Saying the same again changes nothing."""
    require(by, Ability.RECORD_SHOOTING)
    of_job(by.job, presence=presence)
    for_firm(by, presence.shift.organization_id)
    with act(on=by.job, by=by, verb="presence.ended") as deed:
        presence = in_force(presence)
        if presence.to_at == to_at:
            return presence
        not_later("to_at", to_at, than=deed.at, job=by.job)
        return deed.fill(presence, to_at=to_at)


def place(
    *,
    id: UUID,
    by: Membership,
    shift: Shift,
    part: ElementPart,
    mix: MixRevision,
    crew: Crew,
    rig: Rig,
    method: Method = Method.HAND,
    code: str = "",
    coat: Coat | None = None,
    area: Quantity | None = None,
    thickness: Quantity | None = None,
    extent: str = "",
    repairs: str = "",
) -> Placement:
    """Record that a part, or a coat of it, is shot in a shift with a mix and a rig.

    What is placed at the wall is recorded whatever the record says of the mix; only
    rows of another job or firm are refused.
    """
    require(by, Ability.RECORD_SHOOTING)
    job = by.job
    of_job(job, shift=shift, part=part, mix=mix, coat=coat)
    for_firm(by, shift.organization_id)
    for field, row in (("crew", crew), ("rig", rig)):
        if row.organization_id != shift.organization_id:
            refuse(field, _("%(row)s is not of this shift's firm."), row=row)
    if coat is not None and coat.part_id != part.pk:
        refuse("coat", _("That coat belongs to another part."))
    positive(area=area, thickness=thickness)
    with act(on=job, by=by, verb="placement.recorded") as deed:
        before = sent_before(deed, Placement, id, job_id=job.pk)
        if before is not None:
            return before
        taken = Placement.objects.filter(job=job).values_list("code", flat=True)
        return deed.add(
            Placement(
                id=id,
                job=job,
                shift_id=shift.first,
                code=code_or_next(code, prefix="PL", taken=taken),
                part=part,
                coat_id=coat.first if coat else None,
                mix_revision_id=mix.first,
                crew=crew,
                rig=rig,
                method=method,
                extent=extent,
                repairs=repairs,
                **measured("area", unit="area_unit", area=area),
                **measured("length", unit="thickness_unit", thickness=thickness),
            )
        )


def record_waste(
    *,
    by: Membership,
    placement: Placement,
    line_waste: Quantity | None = None,
    removed: Quantity | None = None,
    cuttings: Quantity | None = None,
) -> Placement:
    """Say once what of a placement's delivery is not in place; none is 0.

    `removed` is bad work taken out while fresh and `cuttings` what the trowel took.
    What is not known stays absent. Saying the same again changes nothing.
    """
    require(by, Ability.RECORD_SHOOTING)
    of_job(by.job, placement=placement)
    for_firm(by, placement.shift.organization_id)
    told = {"line_waste": line_waste, "removed": removed, "cuttings": cuttings}
    if not any(told.values()):
        refuse("line_waste", _("Nothing is given; allowed are volumes of 0 or more."))
    not_negative(**told)
    columns = measured("volume", unit="waste_unit", **told)
    with act(on=by.job, by=by, verb="placement.waste_recorded") as deed:
        placement = in_force(placement)
        if all(getattr(placement, name) == value for name, value in columns.items()):
            return placement
        if placement.waste_recorded_at is not None:
            message = _("Told already, %(when)s; allowed is a correction.")
            when = shown(placement.waste_recorded_at, by.job)
            refuse("line_waste", message, when=when)
        known = {name: value for name, value in columns.items() if value is not None}
        return deed.fill(placement, **known)
