"""Cores drilled from a panel: all of them or none, each due by its age."""

from __future__ import annotations

from datetime import date

import pytest
from django.core.exceptions import PermissionDenied

from crews.actions.cores import CoreEntry, drill_cores
from crews.models import Core
from project.models import new_id
from tests.crews.acts import nothing_written, one_line, refused
from tests.factories import at, clock_at, make_cores, make_panel, make_shift, q
from tests.support.made_once import made_once


@made_once
def shift(site):
    with clock_at("2026-08-04 06:50"):
        return make_shift(site.inspector, site.contractor)


def _core(number=1, **facts):
    given = {
        "id": new_id(),
        "number": number,
        "planned_age_days": 28,
        "drilled_at": at("2026-08-10 09:00"),
        "x": q("12 in"),
        "y": q("12 in"),
        "diameter": q("3 in"),
    }
    return CoreEntry(**given | facts)


@made_once
def panel(site, shift):
    return make_panel(site, shift=shift)


def test_all_cores_of_a_panel_are_one_line_and_due_by_their_age(site, panel):
    with clock_at("2026-08-10 09:30"), one_line(site.job, "cores.drilled"):
        cores = drill_cores(
            by=site.technician,
            panel=panel,
            cores=[_core(1, planned_age_days=7), _core(2)],
        )
    assert [core.due_on for core in cores] == [date(2026, 8, 11), date(2026, 9, 1)]


def test_cores_sent_twice_are_drilled_once(site, panel):
    entries = [_core(1), _core(2)]
    with clock_at("2026-08-10 09:30"):
        given = {"by": site.technician, "panel": panel, "cores": entries}
        first = drill_cores(**given)
        with nothing_written(site.job):
            assert drill_cores(**given) == first
    assert Core.objects.count() == 2


@pytest.mark.parametrize(
    ("facts", "field"),
    [
        ({"number": 1}, "number"),
        ({"planned_age_days": 0}, "planned_age_days"),
        ({"drilled_at": at("2026-08-04 08:59")}, "drilled_at"),
        ({"drilled_at": at("2026-08-11 09:00")}, "drilled_at"),
        ({"due_on": date(2026, 8, 3)}, "due_on"),
        ({"x": q("-1 in")}, "x"),
        ({"y": q("12 mm")}, "y"),
        ({"diameter": q("40 in")}, "diameter"),
    ],
)
def test_a_core_that_cannot_be_refuses_the_whole_list_by_its_line(
    site, panel, facts, field
):
    entries = [_core(1), _core(**{"number": 2} | facts)]
    with clock_at("2026-08-10 09:30"):
        given = {"by": site.technician, "panel": panel, "cores": entries}
        assert f"cores.1.{field}" in refused(drill_cores, **given)
    assert not Core.objects.exists()


def test_a_laboratory_drills_only_the_panels_sent_to_it(site, panel):
    with (
        clock_at("2026-08-10 09:30"),
        nothing_written(),
        pytest.raises(PermissionDenied),
    ):
        drill_cores(by=site.members["other_laboratory"], panel=panel, cores=[_core(1)])


def test_no_core_at_all_is_refused(site, panel):
    with clock_at("2026-08-10 09:30"):
        given = {"by": site.technician, "panel": panel, "cores": []}
        assert "cores" in refused(drill_cores, **given)


def test_cores_come_due_from_the_local_day_of_shooting(site, shift):
    late = make_panel(site, shift=shift, shot="2026-08-04 23:30")
    cores = make_cores(site, late, ages=(7,))
    assert cores[0].due_on == date(2026, 8, 11)
