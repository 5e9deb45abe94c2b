"""Nozzle time of a stretch of days, verified by a named person."""

from __future__ import annotations

from datetime import date
from uuid import UUID

from django.utils.translation import gettext as _

from crews.actions.checks import for_firm, in_force, not_after_today, on_job, shown
from crews.domain.hours import Period
from crews.domain.hours_told import as_plain, frozen_classes
from crews.models import HoursStatement, Operator
from crews.queries.hours import operator_hours
from project.actions.abilities import require
from project.actions.checks import of_job, refuse, sent_before
from project.audit import Deed, act
from project.domain.roles import Ability
from project.models import Membership


def verify_hours(
    *,
    id: UUID,
    by: Membership,
    operator: Operator,
    from_on: date,
    to_on: date,
    verified_by: str,
    words: str = "",
) -> HoursStatement:
    """Keep the nozzle time of some days as a named person verifies it.

    The minutes are counted under the act's lock and kept with the versions that they
    rest on. Nobody verifies their own hours, and a day is verified once.
    """
    _may_verify(by, operator)
    name = _named(by, operator, verified_by)
    with act(
        on=by.job, by=by, verb="hours.verified", also=(operator.organization,)
    ) as deed:
        before = sent_before(deed, HoursStatement, id, operator_id=operator.pk)
        if before is not None:
            return before
        row = HoursStatement(
            id=id,
            job=by.job,
            operator=operator,
            from_on=from_on,
            to_on=to_on,
            verified_by=name,
            words=words.strip(),
        )
        row.minutes = _counted(deed, by, row)
        return deed.add(row)


def correct_hours(
    *,
    id: UUID,
    by: Membership,
    statement: HoursStatement,
    from_on: date,
    to_on: date,
    verified_by: str,
    words: str = "",
    reason: str,
) -> HoursStatement:
    """Verify days anew, as the record counts them now; the earlier word stays readable."""
    of_job(by.job, statement=statement)
    operator = statement.operator
    _may_verify(by, operator)
    name = _named(by, operator, verified_by)
    with act(
        on=by.job, by=by, verb="hours.corrected", also=(operator.organization,)
    ) as deed:
        before = sent_before(deed, HoursStatement, id, operator_id=operator.pk)
        if before is not None:
            return before
        old = in_force(statement)
        row = old.revised(
            id=id,
            from_on=from_on,
            to_on=to_on,
            verified_by=name,
            words=words.strip(),
        )
        row.minutes = _counted(deed, by, row, beside=old.first)
        return deed.supersede(old, row, reason=reason)


def withdraw_hours(
    *, id: UUID, by: Membership, statement: HoursStatement, reason: str
) -> HoursStatement:
    """Take back that days were verified; what was said stays readable."""
    of_job(by.job, statement=statement)
    _may_verify(by, statement.operator)
    with act(on=by.job, by=by, verb="hours.withdrawn") as deed:
        before = sent_before(
            deed, HoursStatement, id, operator_id=statement.operator_id
        )
        if before is not None:
            return before
        old = in_force(statement)
        gone = old.revised(id=id, withdrawn=True)
        return deed.supersede(old, gone, reason=reason)


def _may_verify(by: Membership, operator: Operator) -> None:
    require(by, Ability.VERIFY_HOURS)
    for_firm(by, operator.organization_id)
    on_job(by.job, operator=operator.organization)


def _named(by: Membership, operator: Operator, verified_by: str) -> str:
    """Return who verifies; the operator may neither be named nor be the one who writes."""
    name = " ".join(verified_by.split())
    if not name:
        refuse("verified_by", _("Nobody is named; allowed is who verifies the hours."))
    own = {operator.legal_name.casefold(), *map(str.casefold, operator.aliases)}
    if {name.casefold(), by.user.printed_name.casefold()} & own:
        message = _("%(name)s; nobody verifies their own hours.")
        refuse("verified_by", message, name=operator.legal_name)
    return name


def _counted(
    deed: Deed, by: Membership, row: HoursStatement, *, beside: UUID | None = None
) -> list[list[object]]:
    """Count a statement's days as known now, under the act's lock.

    Refuses days to come, days verified already, a nozzle that is still held, and days
    without any nozzle time.
    """
    first, last = row.from_on, row.to_on
    days = {"first": first, "last": last}
    if last < first:
        message = _("To %(last)s; allowed is %(first)s or later.")
        refuse("to_on", message, **days)
    not_after_today("to_on", last, at=deed.at, job=by.job)
    verified = HoursStatement.objects.known_at(deed.at).filter(
        job=by.job, operator=row.operator_id, from_on__lte=last, to_on__gte=first
    )
    other = verified.exclude(first=beside).first()
    if other is not None:
        message = _("%(other)s are verified already; allowed is to correct that.")
        refuse("from_on", message, other=other)
    found = operator_hours(
        by.job,
        row.operator,
        period=Period(first, last, by.job.zone),
        as_of=deed.at,
        known_at=deed.at,
        for_member=by,
    )
    for time, worked in found.still_on:
        message = _(
            "Still on the nozzle since %(start)s, %(placement)s: leave it first."
        )
        told = {"start": shown(time.start, by.job), "placement": worked.placement}
        refuse("to_on", message, **told)
    if not found.hours.pieces:
        message = _("No nozzle time from %(first)s to %(last)s is on record.")
        refuse("from_on", message, **days)
    return as_plain(frozen_classes(found.hours))
