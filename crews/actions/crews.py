"""A contractor's crews and rigs: living rows of the firm."""

from __future__ import annotations

from datetime import datetime
from uuid import UUID

from django.utils.translation import gettext as _

from crews.actions.checks import (
    for_firm,
    measured,
    not_later,
    on_job,
    positive,
)
from crews.domain.trade_words import RigKind, Trade
from crews.models import Crew, CrewMember, Rig, RigEquivalence
from project.actions.abilities import require
from project.actions.checks import (
    refuse,
    sent_before,
)
from project.audit import act
from project.domain.roles import Ability
from project.domain.units import Quantity
from project.models import Membership, Organization


def enter_crew(
    *, id: UUID, by: Membership, organization: Organization, code: str
) -> Crew:
    """Enter a crew of a firm."""
    _may_keep(by, organization)
    with act(on=organization, by=by, verb="crew.entered") as deed:
        before = sent_before(deed, Crew, id, organization_id=organization.pk)
        if before is not None:
            return before
        code = code.strip()
        if Crew.objects.filter(organization=organization, code=code).exists():
            refuse("code", _("Crew %(code)s is entered already."), code=code)
        return deed.add(Crew(id=id, organization=organization, code=code))


def enter_crew_member(
    *, id: UUID, by: Membership, crew: Crew, name: str, trade: Trade
) -> CrewMember:
    """Enter a person of a crew who is not on the nozzle."""
    _may_keep(by, crew.organization)
    with act(on=crew.organization, by=by, verb="crew.member_entered") as deed:
        before = sent_before(deed, CrewMember, id, crew_id=crew.pk)
        return before or deed.add(
            CrewMember(
                id=id,
                organization_id=crew.organization_id,
                crew=crew,
                name=name.strip(),
                trade=trade,
            )
        )


def enter_rig(
    *,
    id: UUID,
    by: Membership,
    organization: Organization,
    code: str,
    kind: RigKind,
    machine: str = "",
    compressor: str = "",
    air_flow: Quantity | None = None,
    hose_diameter: Quantity | None = None,
    hose_length: Quantity | None = None,
) -> Rig:
    """Enter what carries the concrete to the nozzle: pump or gun, air, hose."""
    _may_keep(by, organization)
    positive(air_flow=air_flow, hose_diameter=hose_diameter, hose_length=hose_length)
    with act(on=organization, by=by, verb="rig.entered") as deed:
        before = sent_before(deed, Rig, id, organization_id=organization.pk)
        if before is not None:
            return before
        code = code.strip()
        if Rig.objects.filter(organization=organization, code=code).exists():
            refuse("code", _("Rig %(code)s is entered already."), code=code)
        return deed.add(
            Rig(
                id=id,
                organization=organization,
                code=code,
                rig_kind=kind,
                machine=machine,
                compressor=compressor,
                **measured("flow", unit="air_flow_unit", air_flow=air_flow),
                **measured(
                    "length", unit="hose_diameter_unit", hose_diameter=hose_diameter
                ),
                **measured("length", unit="hose_length_unit", hose_length=hose_length),
            )
        )


def _may_keep(by: Membership, organization: Organization) -> None:
    require(by, Ability.KEEP_OPERATORS)
    for_firm(by, organization.pk)
    on_job(by.job, organization=organization)


def accept_rig_equivalence(
    *,
    id: UUID,
    by: Membership,
    rig: Rig,
    other: Rig,
    accepted_at: datetime,
    words: str = "",
) -> RigEquivalence:
    """Accept that a mock-up shot with one rig speaks for another one."""
    require(by, Ability.JUDGE_MOCK_UP)
    on_job(by.job, rig=rig.organization, other=other.organization)
    if rig == other:
        refuse("other", _("%(rig)s is its own equal; allowed is another."), rig=rig)
    with act(on=by.job, by=by, verb="rig.accepted_as_equivalent") as deed:
        before = sent_before(deed, RigEquivalence, id, job_id=by.job_id)
        if before is not None:
            return before
        not_later("accepted_at", accepted_at, than=deed.at, job=by.job)
        return deed.add(
            RigEquivalence(
                id=id,
                job=by.job,
                rig=rig,
                other=other,
                accepted_at=accepted_at,
                words=words,
            )
        )
