"""Another contractor's hands: a posted identity opens no row of the first one's."""

from __future__ import annotations

from datetime import date

import pytest
from django.core.exceptions import PermissionDenied

from crews.actions.cores import CoreEntry, drill_cores
from crews.actions.corrections import correct, withdraw
from crews.actions.panels import shoot_panel
from crews.actions.people import enrol_operator
from crews.domain.trade_words import PanelKind
from crews.models import Enrolment
from project.domain.shooting_words import Position
from project.models import new_id
from tests.crews.acts import nothing_written, refused
from tests.factories import at, clock_at, make_panel, make_placement, make_shift, shoot

NOW = "2026-08-05 09:00"


def _barred(act, /, **given):
    with clock_at(NOW), nothing_written(), pytest.raises(PermissionDenied):
        act(**given)


def _mock_up(site, **facts):
    return make_panel(
        site, PanelKind.MOCK_UP, shot="2026-07-20 08:30", mockup_class="A", **facts
    )


def _core():
    return CoreEntry(id=new_id(), number=1, planned_age_days=28)


def test_the_cores_of_a_mock_up_are_its_contractors_to_drill(site):
    panel = _mock_up(site)
    _barred(drill_cores, by=site.other_qc, panel=panel, cores=[_core()])
    with clock_at(NOW):
        assert drill_cores(by=site.qc, panel=panel, cores=[_core()])


def test_a_panel_of_nobodys_shift_is_put_right_by_the_firm_that_recorded_it(site):
    panel = make_panel(
        site, PanelKind.PRECONSTRUCTION_MATERIAL, operator=None, rig=None
    )
    given = {"id": new_id(), "row": panel, "reason": "slip"}
    _barred(correct, by=site.other_qc, position=Position.OVERHEAD, **given)
    _barred(withdraw, by=site.other_qc, **given)
    with clock_at(NOW):
        assert correct(by=site.inspector, position=Position.OVERHEAD, **given)


def test_a_panel_hangs_on_no_other_contractors_placement_or_nozzle_time(site):
    with clock_at("2026-08-04 06:50"):
        theirs = make_placement(site, make_shift(site.inspector, site.contractor))
        own = make_shift(site.inspector, site.other_contractor)
    held = shoot(site, theirs, site.operator, "2026-08-04 07:10", "2026-08-04 09:00")
    given = {
        "by": site.other_qc,
        "mix": site.mix,
        "position": Position.VERTICAL,
        "shot_from": at("2026-08-04 09:00"),
        "operator": site.other_operator,
        "rig": site.other_rig,
    }
    _barred(
        shoot_panel,
        id=new_id(),
        kind=PanelKind.PRODUCTION,
        shift=own,
        placement=theirs,
        **given,
    )
    _barred(
        shoot_panel,
        id=new_id(),
        kind=PanelKind.IN_PLACE,
        part=site.wall.part,
        stands_for=held,
        **given,
    )
    with clock_at(NOW):
        mixed = {"kind": PanelKind.PRODUCTION, "shift": own, "placement": theirs}
        wrong = refused(
            shoot_panel, id=new_id(), **mixed, **given | {"by": site.inspector}
        )
    assert "placement" in wrong


@pytest.mark.parametrize(
    ("field", "key"),
    [
        ("operator", "operator"),
        ("shared_with", "operator"),
        ("supervisor", "operator"),
        ("rig", "rig"),
        ("laboratory", "laboratory"),
        ("part", "part"),
    ],
)
def test_a_panel_is_put_right_with_rows_of_its_own_job_only(
    site, elsewhere, field, key
):
    panel = _mock_up(site)
    foreign = {
        "operator": elsewhere.operator,
        "rig": elsewhere.rig,
        "laboratory": elsewhere.laboratory,
        "part": elsewhere.wall.part,
    }[key]
    with clock_at(NOW):
        wrong = refused(
            correct,
            id=new_id(),
            by=site.inspector,
            row=panel,
            reason="slip",
            **{field: foreign},
        )
    assert list(wrong) == [field]


def test_a_contractor_puts_no_other_firms_operator_into_its_panel(site):
    given = {"id": new_id(), "row": _mock_up(site), "reason": "slip"}
    _barred(correct, by=site.qc, operator=site.other_operator, **given)


def test_nobody_enrols_another_contractors_operator_as_their_own(site):
    given = {
        "id": new_id(),
        "by": site.other_qc,
        "operator": site.operator,
        "employer": site.other_contractor,
        "from_on": date(2026, 8, 1),
    }
    _barred(enrol_operator, **given)
    place = Enrolment.objects.get(operator=site.operator)
    own = given | {"operator": site.other_operator}
    _barred(enrol_operator, **own, supersedes=place, reason="moved over")
