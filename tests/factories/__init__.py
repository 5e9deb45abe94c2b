"""Plain functions that make records through the actions, for tests that need history.

Everybody and every firm here is invented.
"""

from tests.factories.kernel import (
    PASSWORD,
    TERMS,
    make_job,
    make_member,
    make_mix,
    make_organization,
    make_part,
    make_user,
)
from tests.factories.people import card, make_card, make_operator
from tests.factories.site import Site, make_site
from tests.factories.values import FIRST_DAY, ZONE, at, bars, clock_at, q
from tests.factories.work import (
    make_cores,
    make_judgement,
    make_panel,
    make_placement,
    make_shift,
    prove_now,
    report,
    result,
    shoot,
    with_mock_up,
)

__all__ = [
    "FIRST_DAY",
    "PASSWORD",
    "TERMS",
    "ZONE",
    "Site",
    "at",
    "bars",
    "card",
    "clock_at",
    "make_card",
    "make_cores",
    "make_job",
    "make_judgement",
    "make_member",
    "make_mix",
    "make_operator",
    "make_organization",
    "make_panel",
    "make_part",
    "make_placement",
    "make_shift",
    "make_site",
    "make_user",
    "prove_now",
    "q",
    "report",
    "result",
    "shoot",
    "with_mock_up",
]
