"""Walks: every item answered or not looked at, hearts by themselves, findings opened."""

from __future__ import annotations

import pytest
from django.core.exceptions import ValidationError

from crews.actions.nozzle import leave_nozzle, take_nozzle
from inspections.actions.deficiencies import open_deficiency
from inspections.actions.rounds import Finding, Walk, correct_round, record_round
from inspections.domain.catalogue import HEARTS, AnswerState, RoundKind
from inspections.domain.rounds import RoundAnswer
from inspections.models import Deficiency, Round
from inspections.queries.catalogue import edition
from project import clock
from project.domain.identity import derived
from project.models import new_id
from tests.inspections.hands import correct, find_right
from tests.inspections.wall import at, q

RIGHT, DEFICIENT = AnswerState.RIGHT, AnswerState.DEFICIENT


def walk(wall, more=(), **changes) -> Walk:
    facts = {
        "kinds": [RoundKind.ROUND],
        "at": at("08:01"),
        "edition": "1.0.0",
        "answers": [*(RoundAnswer(key, RIGHT) for key in HEARTS), *more],
        "placement": wall.placement,
    }
    return Walk(**(facts | changes))


def record(wall, *answers, **changes) -> Round:
    id = changes.pop("id", None) or new_id()
    report = changes.pop("report", wall.report)
    made = walk(wall, answers, **changes)
    return record_round(id=id, by=wall.inspector, report=report, walk=made)


def states(row: Round) -> dict[str, str]:
    return {one["item"]: one["answer"] for one in row.answers}


def test_silence_is_not_looked_at_and_the_rest_is_grouped(wall, lines):
    before = lines()
    row = record(
        wall, RoundAnswer("place-nozzle-distance", RIGHT, value=q("4.5", "ft"))
    )
    assert row.part == wall.part
    assert {states(row)[key] for key in HEARTS} == {"right"}
    others = set(states(row).values()) - {"right"}
    assert others == {"not_looked_at"}
    kinds = [RoundKind.ROUND, RoundKind.LAYER]
    whole = record(wall, rest=RIGHT, at=at("08:52"), kinds=kinds)
    grouped = {one["item"] for one in whole.answers if one["grouped"]}
    assert "place-nozzle-angle" in grouped
    # Hearts, readings and what stops the work are never answered in a group.
    by_themselves = {*HEARTS, "place-layer-thickness", "prep-operator-qualified"}
    assert not grouped & by_themselves
    assert states(whole)["place-layer-thickness"] == "not_looked_at"
    assert states(whole)["prep-operator-qualified"] == "not_looked_at"
    assert lines() == before + 2


@pytest.mark.parametrize(
    ("answers", "changes", "field", "says"),
    [
        (
            [RoundAnswer("place-overspray", RIGHT, grouped=True, value=q("1", "in"))],
            {},
            "answers",
            "place-overspray",
        ),
        ([RoundAnswer("no-such-item", RIGHT)], {}, "answers", "not in the catalogue"),
        ([RoundAnswer(HEARTS[0], RIGHT)], {}, "answers", "answered twice"),
        (
            [RoundAnswer("place-nozzle-distance", RIGHT, value=q("4", "psi"))],
            {},
            "answers",
            "4 psi: allowed is a reading in one of m, mm, in, ft",
        ),
        ([], {"edition": "0.9"}, "edition", "allowed are 1.0.0"),
        ([], {"kinds": ["stroll"]}, "kinds", "stroll is not known; allowed are"),
        ([], {"kinds": []}, "kinds", "allowed are element, shift"),
        ([], {"rest": DEFICIENT}, "rest", "allowed are right"),
        ([], {"at": at("15:01")}, "at", "lies in the future"),
    ],
)
def test_a_walk_that_cannot_be_is_refused_whole(
    wall, lines, answers, changes, field, says
):
    before = lines()
    with pytest.raises(ValidationError) as refused:
        record(wall, *answers, **changes)
    assert says in " ".join(refused.value.message_dict[field])
    assert (Round.objects.count(), Deficiency.objects.count()) == (0, 0)
    assert lines() == before


def test_a_heart_in_a_group_is_refused(wall):
    answers = [RoundAnswer(key, RIGHT, grouped=True) for key in HEARTS]
    with pytest.raises(ValidationError) as refused:
        record(wall, answers=answers)
    assert len(refused.value.message_dict["answers"]) == len(HEARTS)


@pytest.mark.usefixtures("sound")
def test_a_deficient_answer_opens_one_deficiency_whatever_is_sent_again(wall, lines):
    before, id = lines(), new_id()
    finding = Finding(place="grid B3", words="Groove behind two bars.")
    answer = RoundAnswer("place-overspray", DEFICIENT, cause="wind")
    for _again in range(2):
        record(wall, answer, id=id, findings={"place-overspray": finding})
    (found,) = Deficiency.objects.all()
    assert found.pk == derived(id, "place-overspray")
    assert (found.code, found.place, found.cause) == ("DEF-001", "grid B3", "wind")
    assert (found.round_id, found.report_id) == (id, wall.report.pk)
    assert lines() == before + 1  # walk and deficiency are one act


def test_the_same_thing_again_with_the_same_operator_is_graver(wall):
    item = edition().item("place-sand-pockets")
    with clock.set_to(at("07:00")):
        take_nozzle(
            id=new_id(),
            by=wall.inspector,
            placement=wall.placement,
            operator=wall.operator,
            at=at("06:55"),
        )
    severities = []
    for when in ("08:00", "09:00"):
        answers = [
            RoundAnswer(key, DEFICIENT if key == item.key else RIGHT) for key in HEARTS
        ]
        record(wall, answers=answers, at=at(when))
        severities.append(Deficiency.objects.order_by("-number")[0].severity)
    assert severities == [item.severity, item.severity_again]
    assert item.severity != item.severity_again


def test_another_operator_begins_anew(wall):
    with clock.set_to(at("08:30")):
        first, _frozen = take_nozzle(
            id=new_id(),
            by=wall.inspector,
            placement=wall.placement,
            operator=wall.operator,
            at=at("06:55"),
        )
        leave_nozzle(by=wall.inspector, nozzle_time=first, at=at("08:30"))
        take_nozzle(
            id=new_id(),
            by=wall.inspector,
            placement=wall.placement,
            operator=wall.second,
            at=at("08:30"),
        )
    for when in ("08:00", "09:00"):
        answers = [
            RoundAnswer(k, DEFICIENT if k == "place-sand-pockets" else RIGHT)
            for k in HEARTS
        ]
        record(wall, answers=answers, at=at(when))
    severities = set(Deficiency.objects.values_list("severity", flat=True))
    assert len(severities) == 1


def test_a_late_walk_stands_without_a_sheet_by_its_part(wall):
    late = Walk(
        kinds=[RoundKind.VISIT],
        at=at("14:00"),
        edition="1.0.0",
        answers=[RoundAnswer("cure-kept-on", DEFICIENT)],
        part=wall.part,
    )
    row = record_round(id=new_id(), by=wall.inspector, report=None, walk=late)
    (found,) = Deficiency.objects.all()
    assert (row.report_id, found.report_id, found.part) == (None, None, wall.part)
    with pytest.raises(ValidationError, match="No sheet and no part"):
        record_round(
            id=new_id(),
            by=wall.inspector,
            report=None,
            walk=Walk(
                kinds=[RoundKind.SHIFT], at=at("14:00"), edition="1.0.0", answers=[]
            ),
        )


@pytest.mark.usefixtures("sound")
def test_a_corrected_walk_opens_what_is_newly_found_and_keeps_the_first(wall):
    first = record(wall)
    new = correct_round(
        id=new_id(),
        by=wall.inspector,
        round=first,
        walk=walk(wall, [RoundAnswer("place-overspray", DEFICIENT)]),
        reason="the dowels were looked at too",
    )
    assert new.first == first.pk
    assert states(Round.objects.get(pk=first.pk))["place-overspray"] == "not_looked_at"
    assert Deficiency.objects.get().pk == derived(first.pk, "place-overspray")
    correct_round(
        id=new_id(),
        by=wall.inspector,
        round=new,
        walk=walk(wall, [RoundAnswer("place-overspray", DEFICIENT, cause="wind")]),
        reason="the cause was seen too",
    )
    assert Deficiency.objects.count() == 1


@pytest.mark.parametrize(
    ("changes", "field"),
    [
        ({"item": "no-such"}, "item"),
        ({"severity": "grim"}, "severity"),
        ({"seen_at": at("15:01")}, "seen_at"),
        ({"volume_removed": q("1", "in")}, "volume_removed"),
        ({"report": None, "part": None}, "part"),
    ],
)
def test_a_bad_deficiency_is_refused_by_field(wall, lines, changes, field):
    before = lines()
    facts = {
        "item": "mat-load-age",  # a computed line may be found deficient too
        "seen_at": at("09:56"),
        "report": wall.report,
        "part": wall.part,
    }
    with pytest.raises(ValidationError) as refused:
        open_deficiency(id=new_id(), by=wall.inspector, **(facts | changes))
    assert field in refused.value.message_dict
    assert (Deficiency.objects.count(), lines()) == (0, before)
    assert open_deficiency(id=new_id(), by=wall.inspector, **facts).number == 1


def test_a_deficiency_seen_again_while_open_is_not_opened_twice(wall):
    answer = RoundAnswer("place-overspray", DEFICIENT)
    record(wall, answer)
    (first,) = Deficiency.objects.all()
    again = Finding(already=first)
    record(wall, answer, at=at("09:00"), findings={"place-overspray": again})
    assert Deficiency.objects.get() == first
    correct(wall, first)
    find_right(wall, first)
    other = RoundAnswer("place-nozzle-angle", DEFICIENT)
    for given, item in ((answer, "place-overspray"), (other, "place-nozzle-angle")):
        with pytest.raises(ValidationError, match="DEF-001 is no open deficiency"):
            record(wall, given, at=at("10:00"), findings={item: again})
    assert Round.objects.count() == 2


def test_a_repeat_off_any_placement_is_no_graver(wall):
    answers = [
        RoundAnswer(key, DEFICIENT if key == "place-sand-pockets" else RIGHT)
        for key in HEARTS
    ]
    for when in ("08:00", "09:00"):
        record(wall, answers=answers, at=at(when), placement=None, part=wall.part)
    severities = Deficiency.objects.values_list("severity", flat=True)
    assert set(severities) == {edition().item("place-sand-pockets").severity}
