"""The address under which a member's own calendar reads what ends next."""

from __future__ import annotations

import secrets
from uuid import UUID

from django.utils.translation import gettext as _

from crews.models import CalendarAddress
from crews.queries.calendar import hashed
from project.actions.abilities import require
from project.actions.checks import of_job, refuse, sent_before
from project.audit import act
from project.domain.roles import Ability
from project.models import Membership

# A telephone, a tablet, a desk and one to spare: project's choice.
MOST = 4
# 32 bytes from the system's own source: nobody guesses one, however often they ask.
SECRET_BYTES = 32


def make_calendar_address(*, id: UUID, by: Membership) -> tuple[CalendarAddress, str]:
    """Make an address for oneself; return it with its secret, which is told only now.

    The record keeps the secret's hash alone. Sent again, the same request returns the
    address without the secret.
    """
    require(by, Ability.READ_OPERATORS)
    with act(on=by.job, by=by, verb="calendar.address_made") as deed:
        before = sent_before(deed, CalendarAddress, id, membership_id=by.pk)
        if before is not None:
            return before, ""
        mine = CalendarAddress.objects.filter(membership=by, revoked_at=None)
        if mine.count() >= MOST:
            message = _(
                "%(n)s addresses stand; allowed are %(most)s: revoke one first."
            )
            refuse("id", message, n=mine.count(), most=MOST)
        secret = secrets.token_urlsafe(SECRET_BYTES)
        row = deed.add(
            CalendarAddress(
                id=id,
                job=by.job,
                membership=by,
                secret_sha256=hashed(secret),
                made_at=deed.at,
            )
        )
        return row, secret


def revoke_calendar_address(
    *, by: Membership, address: CalendarAddress
) -> CalendarAddress:
    """Let nobody read under an address any more. Saying so again changes nothing."""
    of_job(by.job, address=address)
    if address.membership.user_id != by.user_id:
        refuse("address", _("That address is another member's."))
    with act(on=by.job, by=by, verb="calendar.address_revoked") as deed:
        address.refresh_from_db()
        if address.revoked_at is not None:
            return address
        return deed.change(address, revoked_at=deed.at)
