"""One day at one wall, made through the ordinary actions. All people are invented."""

from __future__ import annotations

from dataclasses import dataclass
from datetime import date, datetime
from decimal import Decimal
from zoneinfo import ZoneInfo

from crews.actions.crews import enter_crew, enter_rig
from crews.actions.people import enrol_operator, enter_operator
from crews.actions.shooting import open_shift, place
from crews.domain.trade_words import RigKind, ShiftName
from crews.models import Crew, Operator, Placement, Rig, Shift
from inspections.actions.reports import open_report
from inspections.models import DailyReport
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
from project.actions.signatures import Proof, prove
from project.domain.roles import Role
from project.domain.units import Quantity
from project.models import ElementPart, Job, Membership, MixRevision, new_id

ZONE = ZoneInfo("America/Denver")
PASSWORD = "grey-bench-gun-41"
DAY = "2026-08-11"


def at(text: str) -> datetime:
    """Return a local time of the job: "07:10" of the day, or with its own date."""
    whole = text if " " in text else f"{DAY} {text}"
    return datetime.strptime(whole, "%Y-%m-%d %H:%M").replace(tzinfo=ZONE)


def q(value: str, unit: str) -> Quantity:
    return Quantity(Decimal(value), unit)


@dataclass
class Wall:
    """The job, its people by role, and the ground of one shift."""

    job: Job
    admin: Membership
    inspector: Membership
    associate: Membership
    other_associate: Membership
    reviewer: Membership
    qc: Membership
    other_qc: Membership
    engineer: Membership
    owner: Membership
    part: ElementPart
    other_part: ElementPart
    mix: MixRevision
    crew: Crew
    rig: Rig
    operator: Operator
    second: Operator
    shift: Shift
    placement: Placement
    report: DailyReport

    def proof(self, member: Membership) -> Proof:
        return prove(member.user, PASSWORD)


def build_wall() -> Wall:
    """Build it with the clock held, so that two builds differ in identities only."""
    with clock.set_to(at("2026-07-01 08:00")):
        people = _people()
    with clock.set_to(at("2026-07-13 08:00")):
        ground = _ground(people)
    with clock.set_to(at("06:45")):
        day = _day(people, ground)
    return Wall(**people, **ground, **day)


_FIRMS = {
    "owner": ("OWN", "owner"),
    "agency": ("INS", "inspection agency"),
    "a": ("ORG-A", "contractor"),
    "b": ("ORG-B", "contractor"),
    "designer": ("DES", "designer"),
}
# key: printed name, role, firm, whether they sign alone
_PEOPLE = {
    "inspector": ("Farrukh Baigzada", Role.INSPECTOR, "agency", True),
    "associate": ("Marit Ellingsrud", Role.INSPECTOR, "agency", False),
    "other_associate": ("Piet Osterveld", Role.INSPECTOR, "agency", False),
    "reviewer": ("Teodors Vikmanis", Role.AGENCY_REVIEWER, "agency", True),
    "qc": ("Bohumil Trnka", Role.CONTRACTOR_QC, "a", True),
    "other_qc": ("Adaeze Nwokoma", Role.CONTRACTOR_QC, "b", True),
    "engineer": ("Hana Kiyosaki", Role.ENGINEER, "designer", True),
    "owner": ("Esperanza Villaluz", Role.OWNER, "owner", True),
}


def _people() -> dict:
    first = enter_user(
        id=new_id(),
        email="wendeline@tarn.example",
        printed_name="Wendeline Aarskov",
        password=PASSWORD,
    )
    firms = {
        key: enter_organization(
            id=new_id(), by=first, code=code, name=f"Firm {code}", kind=kind
        )
        for key, (code, kind) in _FIRMS.items()
    }
    job = create_job(
        id=new_id(),
        by=first,
        code="TH-1",
        name="Tarn Hollow",
        contract_number="OV-1",
        owner=firms["owner"],
        zone="America/Denver",
        unit_system="US",
        week_starts_on=0,
        paper="Letter",
        non_working_days={date(2026, 9, 7): "public holiday"},
    )

    def member(user, role, firm, alone=True):
        return grant_membership(
            id=new_id(),
            by=first,
            job=job,
            user=user,
            role=role,
            organization=firm,
            from_on=date(2026, 7, 1),
            may_sign_alone=alone,
        )

    admin = member(first, Role.JOB_ADMINISTRATOR, firms["owner"])
    found = {"job": job, "admin": admin}
    for key, (name, role, firm, alone) in _PEOPLE.items():
        user = enter_user(
            id=new_id(),
            by=first,
            email=f"{key}@tarn.example",
            printed_name=name,
            password=PASSWORD,
        )
        found[key] = member(user, role, firms[firm], alone)
    return found


def _ground(people: dict) -> dict:
    admin, qc = people["admin"], people["qc"]
    revise_terms(
        id=new_id(),
        by=admin,
        number=1,
        edition="ibc-2018-1908",
        effective_on=date(2026, 7, 1),
        departures={},
    )
    element = add_element(id=new_id(), by=admin, code="R5", name="Bay 5")
    part, other = (
        add_part(
            id=new_id(),
            by=admin,
            element=element,
            code=code,
            order=order,
            name=code,
            position="vertical",
            area=Decimal("418"),
            area_unit="ft2",
            thickness=Decimal("10"),
            thickness_unit="in",
            features=["bars", "freeze_thaw", "backform"],
            mix_code="W-45A",
        ).part
        for order, code in enumerate(("R5-lower", "R5-upper"))
    )
    mix = revise_mix(
        id=new_id(),
        by=admin,
        code="W-45A",
        revision=2,
        process="wet",
        f_c=Decimal("4500"),
        f_c_unit="psi",
    )
    approve_mix(id=new_id(), by=people["engineer"], mix=mix, on=date(2026, 7, 8))
    firm = qc.organization
    operators = []
    for n, name in enumerate(("Mateo Arrizubieta", "Oluwaseun Adebanke"), start=1):
        operator = enter_operator(
            id=new_id(),
            by=qc,
            organization=firm,
            legal_name=name,
            badge_number=f"BC-{n:03d}",
        )
        enrol_operator(
            id=new_id(),
            by=qc,
            operator=operator,
            employer=firm,
            from_on=date(2026, 7, 13),
            code=f"OP-{n:02d}",
        )
        operators.append(operator)
    return {
        "part": part,
        "other_part": other,
        "mix": mix,
        "crew": enter_crew(id=new_id(), by=qc, organization=firm, code="A1"),
        "rig": enter_rig(
            id=new_id(), by=qc, organization=firm, code="R-1", kind=RigKind.WET_PUMP
        ),
        "operator": operators[0],
        "second": operators[1],
    }


def _day(people: dict, ground: dict) -> dict:
    inspector = people["inspector"]
    shift = open_shift(
        id=new_id(),
        by=inspector,
        contractor=people["qc"].organization,
        work_date=date(2026, 8, 11),
        name=ShiftName.DAY,
        starts_at=at("06:30"),
    )
    placement = place(
        id=new_id(),
        by=inspector,
        shift=shift,
        part=ground["part"],
        mix=ground["mix"],
        crew=ground["crew"],
        rig=ground["rig"],
    )
    report = open_report(id=new_id(), by=inspector, shift=shift)
    return {"shift": shift, "placement": placement, "report": report}
