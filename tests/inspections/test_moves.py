"""Deficiencies and nonconformance reports, moved by the people who may."""

from __future__ import annotations

import pytest
from django.core.exceptions import PermissionDenied, ValidationError
from django.db import IntegrityError, transaction

from inspections.actions.deficiencies import open_deficiency
from inspections.actions.moves import make_move, notify
from inspections.domain.moves import DEFICIENCY, NONCONFORMANCE, fold
from inspections.models import Deficiency, Move, Nonconformance
from project.domain.identity import derived
from project.models import new_id
from tests.inspections.hands import correct, find_right, raise_one
from tests.inspections.wall import at


@pytest.fixture
def deficiency(wall) -> Deficiency:
    return open_deficiency(
        id=new_id(),
        by=wall.inspector,
        item="place-overspray",
        seen_at=at("09:00"),
        report=wall.report,
        part=wall.part,
        words="Grey film on the dowels.",
    )


@pytest.mark.usefixtures("sound")
def test_a_deficiency_is_told_corrected_and_looked_at_again(wall, deficiency, lines):
    before = lines()
    notify(
        id=new_id(),
        by=wall.inspector,
        subject=deficiency,
        person="Sione Fakahau",
        means="in person",
        at=at("09:01"),
    )
    correct(wall, deficiency)
    find_right(wall, deficiency)
    rows = list(Move.objects.filter(deficiency=deficiency.first).order_by("n"))
    assert [(row.n, row.move, row.state) for row in rows] == [
        (1, "notify", "open"),
        (2, "correct", "corrected"),
        (3, "find right", "closed"),
    ]
    assert rows[0].evidence == {"told": "Sione Fakahau", "means": "in person"}
    assert fold(DEFICIENCY, [row.move for row in rows]) == "closed"
    assert lines() == before + 3


def test_a_move_sent_twice_is_made_once(wall, deficiency, lines):
    before, id = lines(), new_id()
    assert correct(wall, deficiency, id=id) == correct(wall, deficiency, id=id)
    assert Move.objects.count() == 1
    assert lines() == before + 1


def test_who_corrected_does_not_look_again_at_their_own_work(wall, deficiency):
    correct(wall, deficiency, by=" ottilie VARGA ")
    with pytest.raises(ValidationError) as refused:
        find_right(wall, deficiency)
    assert "somebody else than who corrected" in refused.value.message_dict["by"][0]
    find_right(wall, deficiency, by=wall.associate)


def test_the_firm_that_wrote_it_down_looks_again(wall, deficiency):
    correct(wall, deficiency)
    notify(
        id=new_id(),
        by=wall.inspector,
        subject=deficiency,
        person="Bohumil Trnka",
        means="phone",
        at=at("09:40"),
    )
    with pytest.raises(ValidationError) as refused:
        find_right(wall, deficiency, by=wall.qc)
    assert "firm" in refused.value.message_dict


def test_a_draft_sheets_finding_is_the_contractors_only_once_it_was_told(
    wall, deficiency
):
    done = {
        "subject": deficiency,
        "move": "correct",
        "words": "Washed.",
        "evidence": {"corrected_by": "Ngozi Eberechi"},
    }
    with pytest.raises(PermissionDenied):
        make_move(id=new_id(), by=wall.qc, **done)
    notify(
        id=new_id(),
        by=wall.inspector,
        subject=deficiency,
        person="Bohumil Trnka",
        means="phone",
        at=at("09:40"),
    )
    assert make_move(id=new_id(), by=wall.qc, **done).state == "corrected"


def test_another_contractor_never_moves_it(wall, deficiency):
    notify(
        id=new_id(),
        by=wall.inspector,
        subject=deficiency,
        person="Bohumil Trnka",
        means="phone",
        at=at("09:40"),
    )
    with pytest.raises(PermissionDenied):
        make_move(
            id=new_id(),
            by=wall.other_qc,
            subject=deficiency,
            move="correct",
            words="done",
            evidence={"corrected_by": "nobody"},
        )


@pytest.mark.parametrize(
    ("changes", "field", "says"),
    [
        ({"words": " "}, "words", "what was done is said in words"),
        ({"evidence": {}}, "corrected_by", "who corrected it is named"),
        ({"at": at("08:59")}, "at", "lies before it was seen"),
        ({"at": at("15:01")}, "at", "lies in the future"),
        ({"move": "bless"}, "move", "the moves from here are correct"),
    ],
)
def test_a_move_that_may_not_be_made_says_why_and_makes_none(
    wall, deficiency, lines, changes, field, says
):
    before = lines()
    with pytest.raises(ValidationError) as refused:
        correct(wall, deficiency, **changes)
    assert says in refused.value.message_dict[field][0]
    assert (Move.objects.count(), lines()) == (0, before)


def test_the_second_of_two_is_told_who_was_first(wall, deficiency):
    correct(wall, deficiency, after=0)
    with pytest.raises(ValidationError) as told:
        correct(wall, deficiency, after=0)
    said = told.value.message_dict["move"][0]
    assert "moved meanwhile: Ottilie Varga, correct" in said
    with pytest.raises(ValidationError) as told:
        correct(wall, deficiency)
    said = told.value.message_dict["move"][0]
    assert "correct from corrected" in said
    assert "Last: Ottilie Varga, correct, 2026-08-11 15:00" in said


def test_the_numbers_own_rule_holds_without_the_action(wall, deficiency):
    first = correct(wall, deficiency)
    twin = Move.objects.get(pk=first.pk)
    twin.pk = new_id()
    with pytest.raises(IntegrityError), transaction.atomic():
        twin.save(force_insert=True)


@pytest.mark.usefixtures("sound")
def test_a_nonconformance_takes_its_deficiencies_with_it_in_one_act(
    wall, deficiency, lines
):
    before = lines()
    row = raise_one(wall, deficiency, deficiencies=[deficiency])
    assert (row.code, row.about_kind, row.about_id) == (
        "NCR-001",
        "deficiency",
        deficiency.first,
    )
    assert (row.observed_at, row.written_at) == (at("10:05"), at("10:20"))
    move = Move.objects.get(deficiency=deficiency.first)
    assert move.pk == derived(row.pk, str(deficiency.first))
    assert (move.state, move.evidence) == (
        "became a nonconformance",
        {"nonconformance": "NCR-001"},
    )
    assert lines() == before + 1
    with pytest.raises(ValidationError):  # nothing half-saved: it became one already
        raise_one(wall, deficiency, deficiencies=[deficiency])
    assert Nonconformance.objects.count() == 1
    assert raise_one(wall, wall.placement).code == "NCR-002"


@pytest.mark.parametrize(
    ("changes", "field"),
    [
        ({"requirement": ""}, "requirement"),
        ({"words": ""}, "words"),
        ({"written_at": at("10:04")}, "written_at"),
        ({"observed_at": at("15:01")}, "observed_at"),
    ],
)
def test_a_bad_nonconformance_takes_no_number(wall, changes, field):
    with pytest.raises(ValidationError) as refused:
        raise_one(wall, wall.placement, **changes)
    assert field in refused.value.message_dict
    assert raise_one(wall, wall.placement).number == 1


@pytest.mark.usefixtures("sound")
def test_a_report_is_notified_before_the_owner_or_engineer_closes_it(wall):
    row = raise_one(wall, wall.placement)
    close = {"subject": row, "move": "close", "words": "closed"}
    with pytest.raises(ValidationError, match="the moves from here are notify"):
        make_move(id=new_id(), by=wall.owner, **close)
    notify(
        id=new_id(),
        by=wall.inspector,
        subject=row,
        person="Bohumil Trnka",
        means="phone",
        at=at("10:22"),
    )
    with pytest.raises(ValidationError) as refused:
        make_move(id=new_id(), by=wall.qc, **close)
    assert "contractor QC" in refused.value.message_dict["role"][0]
    make_move(id=new_id(), by=wall.owner, **close)
    moves = Move.objects.filter(nonconformance=row.first).order_by("n")
    assert fold(NONCONFORMANCE, [m.move for m in moves]) == moves.last().state
    assert moves.last().state == "closed"


def test_only_some_roles_raise(wall):
    with pytest.raises(PermissionDenied):
        raise_one(wall, wall.placement, by=wall.owner)
