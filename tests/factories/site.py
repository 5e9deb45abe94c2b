"""A small job whole, with everybody in each role and a stranger."""

from __future__ import annotations

from dataclasses import dataclass, field
from datetime import date
from typing import Any

from crews.actions.crews import enter_crew, enter_crew_member, enter_rig
from crews.domain.trade_words import (
    Level,
    RigKind,
    Trade,
)
from crews.models import (
    Crew,
    CrewMember,
    Operator,
    Rig,
)
from project.actions.accounts import grant_membership
from project.actions.jobs import (
    revise_terms,
)
from project.domain.roles import Role
from project.domain.shooting_words import Position, Process
from project.models import (
    Job,
    Membership,
    MixRevision,
    Organization,
    PartRevision,
    User,
    new_id,
)
from tests.factories.kernel import (
    TERMS,
    make_job,
    make_member,
    make_mix,
    make_organization,
    make_part,
    make_user,
)
from tests.factories.people import card, make_operator
from tests.factories.values import clock_at


@dataclass
class Site:
    """A small job, and everybody on it."""

    job: Job
    firms: dict[str, Organization]
    members: dict[str, Membership]
    stranger: Membership
    mix: MixRevision
    other_mix: MixRevision
    wall: PartRevision
    soffit: PartRevision
    crew: Crew
    rig: Rig
    blowpipe: CrewMember
    operator: Operator
    trainee: Operator
    other_crew: Crew
    other_rig: Rig
    other_operator: Operator
    extra: dict[str, Any] = field(default_factory=dict)

    @property
    def inspector(self) -> Membership:
        return self.members["inspector"]

    @property
    def engineer(self) -> Membership:
        return self.members["engineer"]

    @property
    def qc(self) -> Membership:
        return self.members["qc"]

    @property
    def other_qc(self) -> Membership:
        return self.members["other_qc"]

    @property
    def technician(self) -> Membership:
        return self.members["laboratory"]

    @property
    def admin(self) -> Membership:
        return self.members["admin"]

    @property
    def contractor(self) -> Organization:
        return self.firms["contractor"]

    @property
    def other_contractor(self) -> Organization:
        return self.firms["other_contractor"]

    @property
    def laboratory(self) -> Organization:
        return self.firms["laboratory"]


# key, role, firm, printed name
_PEOPLE = (
    ("inspector", Role.INSPECTOR, "agency", "Ottilie Varga"),
    ("associate", Role.INSPECTOR, "agency", "Bram Oyelaran"),
    ("reviewer", Role.AGENCY_REVIEWER, "agency", "Solveig Marchetti"),
    ("qc", Role.CONTRACTOR_QC, "contractor", "Idris Halloran"),
    ("other_qc", Role.CONTRACTOR_QC, "other_contractor", "Petra Lindqvist"),
    ("laboratory", Role.LABORATORY, "laboratory", "Anselm Okafor"),
    ("other_laboratory", Role.LABORATORY, "other_laboratory", "Yaelle Brandt"),
    ("engineer", Role.ENGINEER, "designer", "Rhoswen Takeda"),
    ("architect", Role.ARCHITECT, "designer", "Corvin Delacroix"),
    ("owner", Role.OWNER, "owner", "Maribel Strand"),
    ("official", Role.BUILDING_OFFICIAL, "authority", "Tancred Ibarra"),
)
_FIRMS = {
    "owner": "owner",
    "agency": "inspection agency",
    "contractor": "contractor",
    "other_contractor": "contractor",
    "laboratory": "laboratory",
    "other_laboratory": "laboratory",
    "designer": "designer",
    "authority": "authority",
}


def make_site(code: str = "TW-1") -> Site:
    """Make the whole small job, with the clock before the first day of work."""
    with clock_at("2026-07-17 08:00"):
        root = make_user("Wilhelmina Aske", email=f"admin.{code.lower()}@example.org")
        firms = {
            key: make_organization(root, f"{code}-{number}", kind, name=key)
            for number, (key, kind) in enumerate(_FIRMS.items())
        }
        job = make_job(root, firms["owner"], code)
        admin = grant_membership(
            id=new_id(),
            by=root,
            job=job,
            user=root,
            role=Role.JOB_ADMINISTRATOR,
            organization=firms["owner"],
            from_on=date(2026, 6, 1),
        )
        members = {"admin": admin}
        for key, role, firm, name in _PEOPLE:
            members[key] = make_member(job, root, role, firms[firm], name)
        stranger = _stranger(root, firms["owner"], code)
        revise_terms(
            id=new_id(),
            by=admin,
            number=1,
            edition="ibc-2018-1908",
            effective_on=date(2026, 7, 1),
            departures=TERMS,
        )
        engineer = members["engineer"]
        return Site(
            job=job,
            firms=firms,
            members=members,
            stranger=stranger,
            mix=make_mix(admin, engineer),
            other_mix=make_mix(admin, engineer, "D-60", 1, "dry", "6000 psi"),
            wall=make_part(admin, "R1", order=1),
            soffit=make_part(
                admin, "R6", Position.OVERHEAD, order=2, trainee_allowed=False
            ),
            **_crews_of(members["qc"], firms["contractor"]),
            **_other_crew(members["other_qc"], firms["other_contractor"]),
        )


def _stranger(root: User, owner: Organization, code: str) -> Membership:
    job = make_job(root, owner, f"{code}-X")
    return make_member(job, root, Role.INSPECTOR, owner, "Lazar Quennell")


def _crews_of(qc: Membership, firm: Organization) -> dict[str, Any]:
    crew = enter_crew(id=new_id(), by=qc, organization=firm, code="A1")
    trainee = card(number="WT-2002", level=Level.IN_TRAINING)
    return {
        "crew": crew,
        "rig": enter_rig(
            id=new_id(), by=qc, organization=firm, code="RIG-A", kind=RigKind.WET_PUMP
        ),
        "blowpipe": enter_crew_member(
            id=new_id(), by=qc, crew=crew, name="Emrys Calloway", trade=Trade.BLOWPIPE
        ),
        "operator": make_operator(qc, firm, "Bartosz Ilunga", "B-001"),
        "trainee": make_operator(qc, firm, "Noor Vasilenko", "B-002", trainee),
    }


def _other_crew(qc: Membership, firm: Organization) -> dict[str, Any]:
    dry = card(number="DV-3003", classes=[(Process.DRY, Position.VERTICAL)])
    return {
        "other_crew": enter_crew(id=new_id(), by=qc, organization=firm, code="B1"),
        "other_rig": enter_rig(
            id=new_id(), by=qc, organization=firm, code="RIG-B", kind=RigKind.DRY_GUN
        ),
        "other_operator": make_operator(qc, firm, "Jorunn Achebe", "C-001", dry),
    }
