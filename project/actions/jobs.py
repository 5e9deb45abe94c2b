"""The job, its terms, its parts and its mix revisions."""

from __future__ import annotations

from collections.abc import Mapping
from datetime import date
from typing import Any
from uuid import UUID

from django.core.exceptions import ValidationError
from django.utils.translation import gettext as _

from project.actions.abilities import require
from project.actions.checks import of_job, refuse, sent_before
from project.audit import act
from project.domain.editions import Departure, check_wanted, resolve
from project.domain.identity import derived
from project.domain.reinforcement import Reinforcement
from project.domain.roles import Ability
from project.models import (
    Coat,
    Element,
    ElementPart,
    Job,
    Membership,
    MixRevision,
    Organization,
    PartRevision,
    TermsRevision,
    User,
)


def create_job(
    *,
    id: UUID,
    by: User,
    code: str,
    name: str,
    contract_number: str,
    owner: Organization,
    zone: str,
    unit_system: str,
    week_starts_on: int,
    paper: str,
    language: str = "en",
    non_working_days: Mapping[date, str] | None = None,
    address: str = "",
) -> Job:
    """Open the record book of a contract."""
    days = sorted((non_working_days or {}).items())
    job = Job(
        id=id,
        code=code,
        name=name,
        contract_number=contract_number,
        owner=owner,
        zone=zone,
        unit_system=unit_system,
        week_starts_on=week_starts_on,
        paper=paper,
        language=language,
        non_working_days=[[day.isoformat(), what] for day, what in days],
        address=address,
    )
    with act(on=job, by=by, verb="job.opened") as deed:
        return deed.already(Job, id) or deed.add(job)


def revise_terms(
    *,
    id: UUID,
    by: Membership,
    number: int,
    edition: str,
    effective_on: date,
    departures: Mapping[str, Departure],
) -> TermsRevision:
    """Put a revision of the contract's terms in force from a day on."""
    require(by, Ability.MANAGE_SETTINGS)
    try:
        terms = resolve(
            edition, revision=number, effective_on=effective_on, departures=departures
        )
        check_wanted(terms, departures=departures)
    except ValueError as error:
        raise ValidationError({"departures": str(error)}) from error
    with act(on=by.job, by=by, verb="terms.revised") as deed:
        return sent_before(deed, TermsRevision, id, job_id=by.job_id) or deed.add(
            TermsRevision(
                id=id,
                job=by.job,
                number=number,
                edition=edition,
                effective_on=effective_on,
                values=TermsRevision.values_of(terms),
            )
        )


def add_element(
    *, id: UUID, by: Membership, code: str, name: str, drawing: str = "", order: int = 0
) -> Element:
    """Name an element of the drawings."""
    require(by, Ability.MANAGE_SETTINGS)
    with act(on=by.job, by=by, verb="element.added") as deed:
        return sent_before(deed, Element, id, job_id=by.job_id) or deed.add(
            Element(
                id=id, job=by.job, code=code, name=name, drawing=drawing, order=order
            )
        )


def add_part(
    *,
    id: UUID,
    by: Membership,
    element: Element,
    code: str,
    order: int,
    **first: Any,
) -> PartRevision:
    """Add a part to an element, with what the drawings ask of it.

    `first` holds the columns of `PartRevision`; what is not given stays "not given".
    """
    require(by, Ability.MANAGE_SETTINGS)
    of_job(by.job, element=element)
    _check_reinforcement(first.get("reinforcement", {}))
    with act(on=by.job, by=by, verb="part.added") as deed:
        before = sent_before(deed, ElementPart, id, job_id=by.job_id)
        if before is not None:
            return PartRevision.objects.get(pk=derived(id, "first revision"))
        part = deed.add(
            ElementPart(id=id, job=by.job, element=element, code=code, order=order)
        )
        revision = PartRevision(
            id=derived(id, "first revision"), job=by.job, part=part, **first
        )
        return deed.add(revision)


def revise_part(
    *, id: UUID, by: Membership, old: PartRevision, reason: str, **facts: Any
) -> PartRevision:
    """Say anew what the drawings ask of a part."""
    require(by, Ability.MANAGE_SETTINGS)
    of_job(by.job, old=old)
    _check_reinforcement(facts.get("reinforcement", {}))
    with act(on=by.job, by=by, verb="part.revised") as deed:
        new = PartRevision(id=id, job=by.job, part=old.part, **facts)
        there = sent_before(deed, PartRevision, id, job_id=by.job_id)
        return there or deed.supersede(old, new, reason=reason)


def add_coat(
    *,
    id: UUID,
    by: Membership,
    part: ElementPart,
    order: int,
    mix_code: str,
    **facts: Any,
) -> Coat:
    """Add a coat to a part, in its order from the back."""
    require(by, Ability.MANAGE_SETTINGS)
    of_job(by.job, part=part)
    with act(on=by.job, by=by, verb="coat.added") as deed:
        return sent_before(deed, Coat, id, job_id=by.job_id) or deed.add(
            Coat(id=id, job=by.job, part=part, order=order, mix_code=mix_code, **facts)
        )


def revise_mix(
    *, id: UUID, by: Membership, code: str, revision: int, **facts: Any
) -> MixRevision:
    """Enter a revision of a mix design with its limits."""
    require(by, Ability.MANAGE_SETTINGS)
    with act(on=by.job, by=by, verb="mix.revised") as deed:
        return sent_before(deed, MixRevision, id, job_id=by.job_id) or deed.add(
            MixRevision(id=id, job=by.job, code=code, revision=revision, **facts)
        )


def approve_mix(
    *,
    id: UUID,
    by: Membership,
    mix: MixRevision,
    on: date,
    placing_properties_changed: bool | None = None,
    answer: str = "approved",
) -> MixRevision:
    """Put the engineer's approval on a mix revision."""
    require(by, Ability.APPROVE_MIX)
    of_job(by.job, mix=mix)
    if mix.approved_on is not None and mix.pk != id:
        message = _("%(mix)s was approved on %(day)s already.")
        refuse("approved_on", message, mix=mix, day=mix.approved_on)
    with act(on=by.job, by=by, verb="mix.approved") as deed:
        before = sent_before(deed, MixRevision, id, job_id=by.job_id)
        if before is not None:
            return before
        new = mix.revised(
            id=id,
            approved_on=on,
            approved_by=by.user.printed_name,
            answer=answer,
            placing_properties_changed=placing_properties_changed,
        )
        return deed.supersede(mix, new, reason=answer)


def _check_reinforcement(data: object) -> None:
    try:
        Reinforcement.from_json(data)
    except ValueError as error:
        raise ValidationError({"reinforcement": str(error)}) from error
