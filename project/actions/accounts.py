"""People, firms and memberships."""

from __future__ import annotations

from datetime import date
from uuid import UUID

from django.contrib.auth.password_validation import validate_password
from django.core.exceptions import ValidationError
from django.utils.translation import gettext as _

from project.actions.abilities import require
from project.actions.checks import of_job, refuse, sent_before
from project.audit import act
from project.domain.roles import Ability, Role
from project.models import Job, Membership, Organization, Theme, User


def enter_user(
    *,
    id: UUID,
    by: User | None = None,
    email: str,
    printed_name: str,
    password: str | None = None,
    language: str = "en",
) -> User:
    """Enter a person; the first of an installation enters themself.

    Without a password the person cannot sign in: a crew's or a supplier's name.
    """
    user = User(
        id=id, email=email.lower(), printed_name=printed_name, language=language
    )
    if password is None:
        user.set_unusable_password()
    else:
        validate_password(password, user)
        user.set_password(password)
    with act(on=user, by=by or user, verb="person.entered") as deed:
        return deed.already(User, id) or deed.add(user)


def choose_theme(*, by: User, theme: str) -> User:
    """Keep the theme a person reads in."""
    if theme not in Theme.values:
        allowed = ", ".join(Theme.values)
        message = _("Theme %(theme)s is not one of: %(allowed)s.")
        params = {"theme": theme, "allowed": allowed}
        raise ValidationError({"theme": ValidationError(message, params=params)})
    with act(on=by, by=by, verb="person.chose_theme") as deed:
        return deed.change(by, theme=theme)


def enter_organization(
    *, id: UUID, by: User | Membership, code: str, name: str, kind: str
) -> Organization:
    """Enter a firm or an authority."""
    firm = Organization(id=id, code=code, name=name, org_kind=kind)
    with act(on=firm, by=by, verb="organization.entered") as deed:
        return deed.already(Organization, id) or deed.add(firm)


def grant_membership(
    *,
    id: UUID,
    by: User | Membership,
    job: Job,
    user: User,
    role: Role,
    organization: Organization,
    from_on: date,
    to_on: date | None = None,
    title: str = "",
    may_sign_alone: bool = True,
) -> Membership:
    """Let a person in. A job's first member is let in by whoever created it."""
    if isinstance(by, Membership):
        require(by, Ability.MANAGE_MEMBERS)
        if by.job_id != job.pk:
            refuse("job", _("%(who)s is no member of %(job)s."), who=by, job=job)
    with act(on=job, by=by, verb="member.let_in") as deed:
        return sent_before(deed, Membership, id, job_id=job.pk) or deed.add(
            Membership(
                id=id,
                job=job,
                user=user,
                role=role,
                organization=organization,
                from_on=from_on,
                to_on=to_on,
                title=title,
                may_sign_alone=may_sign_alone,
            )
        )


def end_membership(
    *, by: Membership, membership: Membership, on: date, reason: str
) -> Membership:
    """End a membership from a day on; what the member did stays under their name."""
    require(by, Ability.MANAGE_MEMBERS)
    of_job(by.job, membership=membership)
    if not reason.strip():
        refuse("reason", _("Say why: a reason is needed."))
    with act(on=by.job, by=by, verb="member.let_out") as deed:
        deed.say(reason=reason)
        return deed.change(membership, to_on=on)
