"""People who sign in, firms, a job with its terms, mixes and parts."""

from __future__ import annotations

from datetime import date
from decimal import Decimal
from typing import Any

from project.actions.accounts import enter_organization, enter_user, grant_membership
from project.actions.jobs import (
    add_element,
    add_part,
    approve_mix,
    create_job,
    revise_mix,
)
from project.domain.editions import Departure, aci_506_2_13_panels
from project.domain.roles import Role
from project.domain.shooting_words import Position
from project.models import (
    Job,
    Membership,
    MixRevision,
    Organization,
    PartRevision,
    User,
    new_id,
)
from tests.factories.values import ZONE, bars, q

PASSWORD = "a long invented passphrase"
_SAID = "contract specification"
# Panels by who shot, early cores, an edge zone, three days of patience for a result.
TERMS = aci_506_2_13_panels(_SAID) | {
    "early_core_count": Departure(Decimal(2), reason=_SAID),
    "early_core_age": Departure(Decimal(7), "d", reason=_SAID),
    "edge_zone_depths": Departure(Decimal(1), reason=_SAID),
    "edge_zone_add": Departure(Decimal(1), "in", reason=_SAID),
    "result_overdue_after": Departure(Decimal(3), "d", reason=_SAID),
}


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
