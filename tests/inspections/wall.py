"""One day at one wall of the small job: a shift, a placement, an open sheet."""

from __future__ import annotations

from dataclasses import dataclass
from datetime import date, datetime
from decimal import Decimal

from crews.models import Operator, Placement, Shift
from inspections.actions.reports import open_report
from inspections.models import DailyReport
from project import clock
from project.actions.accounts import grant_membership
from project.actions.signatures import Proof, prove
from project.domain.roles import Role
from project.domain.units import Quantity
from project.models import ElementPart, Job, Membership, MixRevision, new_id
from tests import factories
from tests.factories import PASSWORD, Site, make_placement, make_shift, make_site

DAY = "2026-08-11"


def at(text: str) -> datetime:
    """Return a local time of the job: "07:10" of the day, or with its own date."""
    return factories.at(text if " " in text else f"{DAY} {text}")


def q(value: str, unit: str) -> Quantity:
    return Quantity(Decimal(value), unit)


@dataclass
class Wall:
    """The small job, two inspectors who do not sign alone, and one day's ground."""

    site: Site
    associate: Membership
    other_associate: Membership
    shift: Shift
    placement: Placement
    report: DailyReport

    @property
    def job(self) -> Job:
        return self.site.job

    @property
    def part(self) -> ElementPart:
        return self.site.wall.part

    @property
    def mix(self) -> MixRevision:
        return self.site.mix

    @property
    def operator(self) -> Operator:
        return self.site.operator

    @property
    def second(self) -> Operator:
        return self.site.trainee

    @property
    def admin(self) -> Membership:
        return self.site.admin

    @property
    def inspector(self) -> Membership:
        return self.site.inspector

    @property
    def reviewer(self) -> Membership:
        return self.site.members["reviewer"]

    @property
    def qc(self) -> Membership:
        return self.site.qc

    @property
    def other_qc(self) -> Membership:
        return self.site.other_qc

    @property
    def engineer(self) -> Membership:
        return self.site.engineer

    @property
    def owner(self) -> Membership:
        return self.site.members["owner"]

    def proof(self, member: Membership) -> Proof:
        """Give the password again, as the signing page asks for it."""
        return prove(member.user, PASSWORD)


def build_wall() -> Wall:
    """Build it with the clock held, so that two builds differ in identities only."""
    site = make_site()
    with clock.set_to(at("2026-07-17 09:00")):
        associates = [
            _associate(site, name) for name in ("Marit Ellingsrud", "Piet Osterveld")
        ]
    with clock.set_to(at("06:45")):
        shift = make_shift(
            site.inspector, site.contractor, date.fromisoformat(DAY), starts="06:30"
        )
        return Wall(
            site=site,
            associate=associates[0],
            other_associate=associates[1],
            shift=shift,
            placement=make_placement(site, shift),
            report=open_report(id=new_id(), by=site.inspector, shift=shift),
        )


def _associate(site: Site, name: str) -> Membership:
    email = f"{name.split()[0].lower()}@example.org"
    return grant_membership(
        id=new_id(),
        by=site.admin,
        job=site.job,
        user=factories.make_user(name, email=email),
        role=Role.INSPECTOR,
        organization=site.firms["agency"],
        from_on=date(2026, 7, 1),
        may_sign_alone=False,
    )
