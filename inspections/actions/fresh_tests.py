"""The tests of one load at one time, kept together or not at all."""

from __future__ import annotations

from collections.abc import Mapping
from datetime import datetime
from uuid import UUID

from django.utils.translation import gettext as _

from inspections.actions.loads import record_fresh_test
from inspections.domain.observed import FreshTestKind
from inspections.models import FreshTest, Load
from project.actions.checks import (
    refuse,
)
from project.audit import act
from project.domain.identity import derived
from project.domain.units import Quantity
from project.models import Membership


def record_fresh_tests(
    *,
    id: UUID,
    by: Membership,
    load: Load,
    at: datetime,
    figures: Mapping[FreshTestKind, Quantity],
    retest: bool = False,
) -> list[FreshTest]:
    """Keep what was tested of a load; each test's identity derives from the set's."""
    if not figures:
        refuse("slump", _("Nothing was tested; one figure at least is needed."))
    with act(on=by.job, by=by, verb="fresh_tests.recorded"):
        return [
            record_fresh_test(
                id=derived(id, kind),
                by=by,
                load=load,
                at=at,
                kind=kind,
                value=value,
                retest=retest,
            )
            for kind, value in figures.items()
        ]
