"""Plain functions that make records through the actions, for tests that need history.

Everybody and every firm here is invented. `make_site()` makes a small job whole: a
wall of two parts, two mixes, two contractors, a laboratory, an agency, everybody in
each role, and a stranger of another job.
"""

from __future__ import annotations

from collections.abc import Iterator
from contextlib import contextmanager
from dataclasses import dataclass, field
from datetime import UTC, date, datetime, timedelta
from decimal import Decimal
from typing import Any
from zoneinfo import ZoneInfo

from crews.actions.cores import CoreEntry, drill_cores
from crews.actions.crews import enter_crew, enter_crew_member, enter_rig
from crews.actions.laboratory import ResultEntry, enter_lab_report
from crews.actions.nozzle import leave_nozzle, take_nozzle
from crews.actions.panels import PanelSize, judge_panel, shoot_panel
from crews.actions.people import (
    CardEntry,
    enrol_operator,
    enter_operator,
    record_certification,
)
from crews.actions.shooting import open_shift, place
from crews.domain.trade_words import (
    CoreReinforcement,
    DecisionOutcome,
    Level,
    Method,
    PanelKind,
    RigKind,
    ShiftName,
    Trade,
)
from crews.models import (
    Certification,
    Core,
    Crew,
    CrewMember,
    LabReport,
    NozzleTime,
    Operator,
    Panel,
    PanelJudgement,
    Placement,
    Rig,
    Shift,
)
from project import clock
from project.actions.accounts import enter_organization, enter_user, grant_membership
from project.actions.jobs import (
    add_element,
    add_part,
    approve_mix,
    create_job,
    revise_mix,
    revise_terms,
)
from project.actions.signatures import Proof
from project.domain.editions import Departure, aci_506_2_13_panels
from project.domain.reinforcement import (
    BarWay,
    Curtain,
    Mat,
    Reinforcement,
    Splice,
    SpliceKind,
)
from project.domain.roles import Role
from project.domain.shooting_words import Position, Process
from project.domain.units import Quantity
from project.models import (
    Job,
    Membership,
    MixRevision,
    Organization,
    PartRevision,
    User,
    new_id,
)

ZONE = "America/Denver"
PASSWORD = "a long invented passphrase"
# The site is made before this; tests go on from here.
FIRST_DAY = date(2026, 8, 4)
_SAID = "contract specification"
# Panels by who shot, early cores, an edge zone, three days of patience for a result.
TERMS = aci_506_2_13_panels(_SAID) | {
    "early_core_count": Departure(Decimal(2), reason=_SAID),
    "early_core_age": Departure(Decimal(7), "d", reason=_SAID),
    "edge_zone_depths": Departure(Decimal(1), reason=_SAID),
    "edge_zone_add": Departure(Decimal(1), "in", reason=_SAID),
    "result_overdue_after": Departure(Decimal(3), "d", reason=_SAID),
}


def q(text: str) -> Quantity:
    """Return "2.50 in" as a quantity."""
    value, unit = text.split()
    return Quantity(Decimal(value), unit)


def at(text: str) -> datetime:
    """Return a wall time of the job, "2026-08-04 07:10", as an instant."""
    return datetime.fromisoformat(text).replace(tzinfo=ZoneInfo(ZONE)).astimezone(UTC)


@contextmanager
def clock_at(text: str) -> Iterator[datetime]:
    """Hold the clock at a wall time of the job."""
    with clock.set_to(at(text)):
        yield at(text)


def bars(bar: str = "No. 5", spacing: str = "8 in", curtains: int = 2) -> Reinforcement:
    """Return bars both ways with laps 2 in apart."""
    planes = (Curtain.NEARER, Curtain.FARTHER)[:curtains]
    mats = tuple(
        Mat(plane, way, bar, q(spacing))
        for plane in planes
        for way in (BarWay.VERTICAL, BarWay.HORIZONTAL)
    )
    return Reinforcement(mats, Splice(SpliceKind.NON_CONTACT, q("2 in")))


def make_user(name: str = "Ottilie Varga", **facts: Any) -> User:
    """Enter a person who may sign in."""
    email = facts.pop("email", name.lower().replace(" ", ".") + "@example.org")
    given = {"password": PASSWORD, "printed_name": name, "email": email}
    return enter_user(id=new_id(), **given | facts)


def make_organization(
    by: User, code: str, kind: str = "contractor", name: str = ""
) -> Organization:
    """Enter a firm."""
    return enter_organization(
        id=new_id(), by=by, code=code, name=name or f"{code} firm", kind=kind
    )


def make_member(
    job: Job, by: User, role: Role, organization: Organization, name: str
) -> Membership:
    """Enter a person and let them in."""
    return grant_membership(
        id=new_id(),
        by=by,
        job=job,
        user=make_user(name, email=f"{name.split()[0].lower()}@{job.code}.example"),
        role=role,
        organization=organization,
        from_on=date(2026, 6, 1),
    )


def make_job(by: User, owner: Organization, code: str = "TW-1", **facts: Any) -> Job:
    """Open a job in Mountain time."""
    given: dict[str, Any] = {
        "name": "A test wall",
        "contract_number": "C-100",
        "zone": ZONE,
        "unit_system": "US",
        "week_starts_on": 0,
        "paper": "Letter",
    }
    return create_job(id=new_id(), by=by, code=code, owner=owner, **given | facts)


def make_mix(
    by: Membership,
    engineer: Membership,
    code: str = "W-45A",
    revision: int = 1,
    process: str = "wet",
    f_c: str = "4500 psi",
    **facts: Any,
) -> MixRevision:
    """Enter a mix revision and let the engineer approve it."""
    strength = q(f_c)
    mix = revise_mix(
        id=new_id(),
        by=by,
        code=code,
        revision=revision,
        process=process,
        f_c=strength.value,
        f_c_unit=strength.unit,
        **facts,
    )
    return approve_mix(id=new_id(), by=engineer, mix=mix, on=date(2026, 7, 8))


def make_part(
    by: Membership,
    code: str = "R1",
    position: Position = Position.VERTICAL,
    order: int = 1,
    **facts: Any,
) -> PartRevision:
    """Add an element with one part: 418 ft2, 10 in thick, class A, mix W-45A."""
    element = add_element(
        id=new_id(), by=by, code=code, name=f"bay {code}", order=order
    )
    given: dict[str, Any] = {
        "name": "full height",
        "position": position,
        "area": Decimal(418),
        "area_unit": "ft2",
        "thickness": Decimal(10),
        "thickness_unit": "in",
        "reinforcement": bars().to_json(),
        "mix_code": "W-45A",
        "mockup_class": "A",
        "mockup_by_contract": True,
        "trainee_allowed": True,
    }
    return add_part(
        id=new_id(), by=by, element=element, code=code, order=1, **given | facts
    )


def card(**facts: Any) -> CardEntry:
    """Return a full card for wet vertical by hand, last valid day 2028-03-14."""
    given: dict[str, Any] = {
        "scheme": "CP-60",
        "number": "WV-1001",
        "method": Method.HAND,
        "level": Level.FULL,
        "classes": [(Process.WET, Position.VERTICAL)],
        "issued_on": date(2023, 3, 14),
        "expires_on": date(2028, 3, 14),
    }
    return CardEntry(**given | facts)


def make_operator(
    by: Membership,
    organization: Organization,
    name: str = "Bartosz Ilunga",
    badge: str = "B-001",
    with_card: CardEntry | None = None,
    approved_on: date | None = date(2026, 7, 16),
) -> Operator:
    """Enter an operator with one card and a place on the job."""
    operator = enter_operator(
        id=new_id(),
        by=by,
        organization=organization,
        legal_name=name,
        badge_number=badge,
    )
    make_card(by, operator, with_card or card(number=f"WV-{badge}"))
    enrol_operator(
        id=new_id(),
        by=by,
        operator=operator,
        employer=organization,
        from_on=date(2026, 7, 1),
        submittal=f"SUB-{badge}",
        approved_on=approved_on,
        approved_by="the engineer",
    )
    return operator


def make_card(by: Membership, operator: Operator, entry: CardEntry) -> Certification:
    """Record a card."""
    return record_certification(id=new_id(), by=by, operator=operator, card=entry)


def make_shift(
    by: Membership,
    contractor: Organization,
    work_date: date = FIRST_DAY,
    name: ShiftName = ShiftName.DAY,
    starts: str = "07:00",
) -> Shift:
    """Open a shift; the clock must stand on its day."""
    return open_shift(
        id=new_id(),
        by=by,
        contractor=contractor,
        work_date=work_date,
        name=name,
        starts_at=at(f"{work_date} {starts}"),
    )


def make_placement(site: Site, shift: Shift, **facts: Any) -> Placement:
    """Place the first part with the first mix, rig and crew of the first contractor."""
    given: dict[str, Any] = {
        "part": site.wall.part,
        "mix": site.mix,
        "crew": site.crew,
        "rig": site.rig,
    }
    return place(id=new_id(), by=site.inspector, shift=shift, **given | facts)


def shoot(
    site: Site,
    placement: Placement,
    operator: Operator,
    start: str,
    stop: str | None = None,
    **facts: Any,
) -> NozzleTime:
    """Take the nozzle and leave it, each at its own time."""
    with clock_at(start):
        taken, _ = take_nozzle(
            id=new_id(),
            by=site.inspector,
            placement=placement,
            operator=operator,
            at=at(start),
        )
    if stop is not None:
        with clock_at(stop):
            leave_nozzle(by=site.inspector, nozzle_time=taken, at=at(stop), **facts)
    taken.refresh_from_db()
    return taken


def make_panel(
    site: Site,
    kind: PanelKind = PanelKind.PRODUCTION,
    shot: str = "2026-08-04 09:00",
    **facts: Any,
) -> Panel:
    """Shoot a panel of 24 by 24 by 5 in for the site's laboratory."""
    given: dict[str, Any] = {
        "mix": site.mix,
        "position": Position.VERTICAL,
        "operator": site.operator,
        "rig": site.rig,
        "laboratory": site.laboratory,
        "size": PanelSize(length=q("24 in"), width=q("24 in"), depth=q("5 in")),
    }
    if kind is PanelKind.MOCK_UP:
        given |= {"thickness": q("10 in"), "reinforcement": bars()}
    with clock_at(shot):
        return shoot_panel(
            id=new_id(),
            by=facts.pop("by", site.inspector),
            kind=kind,
            shot_from=at(shot),
            **given | facts,
        )


def prove_now(member: Membership) -> Proof:
    """Return proof of a password given just now."""
    return Proof(user_id=member.user_id, at=clock.now())


def make_judgement(
    site: Site,
    panel: Panel,
    decided: str,
    decision: DecisionOutcome = DecisionOutcome.ACCEPTED,
    **facts: Any,
) -> PanelJudgement:
    """Let the engineer judge a panel."""
    by = facts.pop("by", site.engineer)
    with clock_at(decided):
        return judge_panel(
            id=new_id(),
            by=by,
            panel=panel,
            decision=decision,
            decided_at=at(decided),
            proof=prove_now(by),
            printed_name=by.user.printed_name,
            **{"words": "Bars encased."} | facts,
        )


def make_cores(
    site: Site,
    panel: Panel,
    ages: tuple[int, ...] = (7, 7, 28, 28, 28),
    drilled: str = "2026-08-10 09:00",
    **facts: Any,
) -> list[Core]:
    """Drill cores well away from the panel's edges."""
    places = [("7.5", "7.5"), ("16.5", "16.5"), ("7.5", "16.5"), ("16.5", "7.5")]
    places.append(("12", "12"))
    with clock_at(drilled):
        return drill_cores(
            by=site.technician,
            panel=panel,
            cores=[
                CoreEntry(
                    **{
                        "id": new_id(),
                        "number": number,
                        "planned_age_days": age,
                        "drilled_at": at(drilled),
                        "x": q(f"{x} in"),
                        "y": q(f"{y} in"),
                        "diameter": q("3 in"),
                    }
                    | facts
                )
                for number, (age, (x, y)) in enumerate(
                    zip(ages, places, strict=False), start=1
                )
            ],
        )


def result(core: Core, tested: str, strength: str = "5000", **facts: Any) -> Any:
    """Return a sound core's result, stated by its breaking load at L/D 1.6."""
    area = Decimal("7.0686")
    load = (Decimal(strength) * area / Decimal("0.968")).quantize(Decimal(1))
    given: dict[str, Any] = {
        "d1": q("3.00 in"),
        "d2": q("3.00 in"),
        "length_tested": q("4.80 in"),
        "breaking_load": Quantity(load, "lbf"),
        "conditioning": "soaked",
        "reinforcement": CoreReinforcement.NONE,
    }
    return ResultEntry(id=new_id(), core=core, tested_at=at(tested), **given | facts)


def report(
    site: Site, number: str, received: str, results: list[Any], **facts: Any
) -> LabReport:
    """Let the laboratory enter a report."""
    with clock_at(received):
        return enter_lab_report(
            id=new_id(), by=site.technician, number=number, results=results, **facts
        )


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


def with_mock_up(site: Site, operator: Operator | None = None) -> Panel:
    """Let an operator shoot a mock-up of the wall, and the engineer accept it."""
    panel = make_panel(
        site,
        PanelKind.MOCK_UP,
        shot="2026-07-20 08:30",
        operator=operator or site.operator,
        mockup_class="A",
    )
    make_judgement(site, panel, "2026-07-29 15:10")
    return panel


def later(instant: datetime, **span: float) -> datetime:
    """Return an instant some time after another."""
    return instant + timedelta(**span)
