"""Another firm's hands: what it may read of another's work it still may not write."""

from __future__ import annotations

import pytest
from django.core.exceptions import PermissionDenied, ValidationError

from crews.actions.shooting import place
from inspections.actions.corrections import withdraw_entry
from inspections.actions.readings import Measured, record_readings
from inspections.actions.rounds import correct_round, record_round
from inspections.queries.findings import nonconformances
from project.models import AuditEvent, new_id
from project.queries.jobs import now_on
from tests.crews.acts import nothing_written
from tests.factories import make_shift
from tests.inspections.hands import photograph, raise_one
from tests.inspections.test_rounds import walk
from tests.inspections.wall import at, q

pytestmark = pytest.mark.usefixtures("files")


@pytest.fixture
def theirs(wall):
    """A placement of the other contractor, in a shift of its own."""
    shift = make_shift(wall.inspector, wall.site.other_contractor)
    return place(
        id=new_id(),
        by=wall.inspector,
        shift=shift,
        part=wall.part,
        mix=wall.mix,
        crew=wall.site.other_crew,
        rig=wall.site.other_rig,
    )


def _late(wall, **changes):
    return walk(wall, **{"placement": None, "part": wall.part} | changes)


def _barred(act, /, **given):
    with nothing_written(), pytest.raises(PermissionDenied):
        act(**given)


def test_a_walk_without_a_sheet_is_put_right_by_its_own_firm(wall):
    row = record_round(id=new_id(), by=wall.inspector, report=None, walk=_late(wall))
    given = {"id": new_id(), "round": row, "walk": _late(wall), "reason": "misread"}
    _barred(correct_round, by=wall.qc, **given)
    assert correct_round(by=wall.inspector, **given)


def test_a_contractor_walks_and_measures_only_what_it_places(wall, theirs):
    at_it = walk(wall, placement=theirs)
    _barred(record_round, id=new_id(), by=wall.qc, report=None, walk=at_it)
    row = record_round(id=new_id(), by=wall.qc, report=None, walk=_late(wall))
    given = {"id": new_id(), "round": row, "reason": "misread"}
    _barred(correct_round, by=wall.qc, walk=at_it, **given)
    reading = {
        "kind": "thickness",
        "at": at("09:00"),
        "readings": [Measured(q("10", "in"))],
    }
    _barred(
        record_readings,
        id=new_id(),
        by=wall.qc,
        report=None,
        placement=theirs,
        **reading,
    )


def test_what_stands_on_a_sheet_is_of_its_shift(wall, theirs):
    at_it = walk(wall, placement=theirs)
    before = AuditEvent.objects.count()
    with pytest.raises(ValidationError) as refused:
        record_round(id=new_id(), by=wall.inspector, report=wall.report, walk=at_it)
    assert list(refused.value.message_dict) == ["placement"]
    with pytest.raises(ValidationError) as refused:
        record_readings(
            id=new_id(),
            by=wall.inspector,
            report=wall.report,
            kind="thickness",
            at=at("09:00"),
            readings=[Measured(q("10", "in"))],
            placement=theirs,
        )
    assert list(refused.value.message_dict) == ["placement"]
    with pytest.raises(ValidationError) as refused:
        photograph(wall, placement=theirs)
    assert list(refused.value.message_dict) == ["placement"]
    assert AuditEvent.objects.count() == before


def test_a_photograph_is_put_to_no_other_firms_walk_or_placement(wall, theirs):
    late = record_round(id=new_id(), by=wall.inspector, report=None, walk=_late(wall))
    for changes in ({"round": late}, {"placement": theirs}):
        with nothing_written(), pytest.raises(PermissionDenied):
            photograph(wall, by=wall.qc, report=None, **changes)


def test_only_entries_are_withdrawn_as_entries(wall):
    for row in (wall.report, wall.placement):
        with nothing_written(), pytest.raises(ValidationError):
            withdraw_entry(
                id=new_id(), by=wall.inspector, entry=row, reason="in the way"
            )


def test_a_contractor_reads_what_is_raised_about_its_own_placement(wall, theirs):
    raise_one(wall, wall.placement, part=None)
    asked = {"known_at": now_on(wall.job)}
    assert len(nonconformances(wall.job, wall.qc, **asked)) == 1
    assert nonconformances(wall.job, wall.site.other_qc, **asked) == ()
