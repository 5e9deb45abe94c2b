"""One walk: what is refused and why, what counts how, and the scenario's own rounds."""

from decimal import Decimal

import pytest

from inspections.domain.catalogue import (
    HEARTS,
    AnswerState,
    RoundKind,
    features_of,
    items_for,
)
from inspections.domain.rounds import (
    RoundAnswer,
    count,
    in_full,
    photographs_owed,
    round_faults,
    the_rest,
)
from inspections.queries.catalogue import edition
from project.domain.shooting_words import Position, Process
from project.domain.units import Quantity
from tests.support.scenario import SCENARIO

RIGHT, DEFICIENT = AnswerState.RIGHT, AnswerState.DEFICIENT
NOT_HERE, NOT_SEEN = AnswerState.DOES_NOT_APPLY, AnswerState.NOT_LOOKED_AT
FEATURES = features_of(["bars", "freeze_thaw"])


def asked(*kinds, features=FEATURES, process=Process.WET, position=Position.VERTICAL):
    return items_for(
        edition(),
        kinds=kinds or (RoundKind.ROUND,),
        process=process,
        position=position,
        features=features,
    )


def faults(*answers, kinds=(), features=FEATURES):
    return [
        str(fault)
        for fault in round_faults(
            answers,
            edition=edition(),
            asked=asked(*kinds, features=features),
            features=features,
        )
    ]


def inches(value):
    return Quantity(Decimal(value), "in")


def test_a_clean_round_has_nothing_against_it():
    hearts = [RoundAnswer(key, RIGHT) for key in HEARTS]
    assert faults(*hearts, *the_rest(hearts, asked=asked(), answer=RIGHT)) == []


def test_an_unknown_item_is_named():
    assert faults(RoundAnswer("place-colour", RIGHT)) == [
        "place-colour: item not in the catalogue: allowed is an item of the catalogue, "
        "edition 1.0.0"
    ]


def test_an_item_of_another_moment_is_not_answered_here():
    assert "not asked on this round" in faults(RoundAnswer("mat-slump", NOT_SEEN))[0]
    assert "not asked" in faults(RoundAnswer("place-fall-zone", RIGHT))[0]


def test_a_computed_line_is_not_answered_by_hand():
    found = faults(RoundAnswer("mat-load-age", RIGHT), kinds=[RoundKind.LOAD])
    assert found == [
        "mat-load-age: item answered by hand: allowed is no answer: it is worked out "
        "from load: batch time, time last shot"
    ]


@pytest.mark.parametrize("key", HEARTS)
def test_a_grouped_answer_never_covers_a_heart(key):
    assert len(faults(RoundAnswer(key, RIGHT, grouped=True))) == 1
    assert "its own answer" in faults(RoundAnswer(key, RIGHT, grouped=True))[0]


def test_a_grouped_answer_never_covers_readings_safety_or_stop_work():
    for kind in RoundKind:
        for item in asked(kind):
            one = RoundAnswer(item.key, NOT_SEEN, grouped=True)
            found = faults(one, kinds=[kind])
            assert bool(found) is not item.groupable, item.key


@pytest.mark.parametrize("answer", [DEFICIENT, NOT_HERE])
def test_a_group_only_says_right(answer):
    found = faults(RoundAnswer("place-sequence", answer, grouped=True, note="why"))
    assert found == [
        f"place-sequence: grouped answer {answer}: allowed is right, or not looked at; "
        "anything else is given by itself"
    ]


def test_the_rest_covers_only_groupable_items_not_yet_answered():
    given = [RoundAnswer("place-sequence", DEFICIENT, note="top first")]
    rest = the_rest(given, asked=asked(), answer=RIGHT)
    covered = {one.item for one in rest}
    assert "place-sequence" not in covered
    assert not covered & set(HEARTS)
    assert "prep-operator-qualified" not in covered
    assert all(one.grouped for one in rest)
    assert covered == {i.key for i in asked() if i.groupable} - {"place-sequence"}


@pytest.mark.parametrize("answer", [DEFICIENT, NOT_HERE])
def test_the_rest_cannot_be_deficient_or_not_apply(answer):
    with pytest.raises(ValueError, match="allowed are right, not_looked_at"):
        the_rest([], asked=asked(), answer=answer)


def test_a_reading_that_is_right_needs_its_value():
    assert faults(RoundAnswer("mat-slump", RIGHT), kinds=[RoundKind.LOAD]) == [
        "mat-slump: value missing: allowed is a reading in one of m, mm, in, ft, yd"
    ]
    measured = RoundAnswer("mat-slump", RIGHT, value=inches("2.50"))
    assert faults(measured, kinds=[RoundKind.LOAD]) == []


def test_a_deficiency_may_be_written_down_without_a_reading():
    assert faults(RoundAnswer("mat-slump", DEFICIENT), kinds=[RoundKind.LOAD]) == []


def test_a_reading_of_the_wrong_dimension_is_refused_with_what_is_allowed():
    wrong = RoundAnswer("mat-slump", DEFICIENT, value=Quantity(Decimal(3), "psi"))
    assert faults(wrong, kinds=[RoundKind.LOAD]) == [
        "mat-slump: value 3 psi: allowed is a reading in one of m, mm, in, ft, yd"
    ]


def test_a_reading_may_come_in_any_unit_of_its_dimension():
    metric = RoundAnswer("mat-slump", RIGHT, value=Quantity(Decimal(65), "mm"))
    assert faults(metric, kinds=[RoundKind.LOAD]) == []


@pytest.mark.parametrize(
    ("answer", "said"),
    [
        (RoundAnswer("place-sequence", RIGHT, value=inches("3")), "no reading on this"),
        (RoundAnswer("place-nozzle-distance", NOT_SEEN, value=inches("40")),
         "no reading with not_looked_at"),
        (RoundAnswer("place-nozzle-distance", RIGHT, grouped=True, value=inches("40")),
         "no reading in a grouped answer"),
    ],
)  # fmt: skip
def test_a_reading_where_none_belongs_is_refused(answer, said):
    (found,) = faults(answer)
    assert said in found


def test_does_not_apply_asks_why_unless_the_feature_is_unstated():
    assert "a note that says why" in faults(RoundAnswer("place-sequence", NOT_HERE))[0]
    assert faults(RoundAnswer("place-sequence", NOT_HERE, note="one corner")) == []
    assert "a note" in faults(RoundAnswer("place-encasement", NOT_HERE))[0]
    assert faults(RoundAnswer("place-encasement", NOT_HERE), features={}) == []


def test_an_item_answered_twice_is_refused():
    twice = [RoundAnswer("place-sequence", RIGHT), RoundAnswer("place-sequence", RIGHT)]
    assert faults(*twice) == [
        "place-sequence: item answered twice: allowed is one answer"
    ]


def test_all_faults_are_told_at_once():
    found = faults(
        RoundAnswer("place-colour", RIGHT),
        RoundAnswer("place-encasement", RIGHT, grouped=True, value=inches("1")),
        RoundAnswer("place-sequence", NOT_HERE),
    )
    assert len(found) == 4


def test_what_nobody_answered_was_not_looked_at():
    whole = in_full([RoundAnswer("place-sequence", RIGHT)], asked=asked())
    assert [one.item for one in whole] == [item.key for item in asked()]
    silent = {one.item for one in whole if one.answer is NOT_SEEN}
    assert silent == {item.key for item in asked()} - {"place-sequence"}


def test_counts_add_up_to_what_was_asked():
    given = [
        RoundAnswer("place-encasement", RIGHT),
        RoundAnswer("place-sloughing", DEFICIENT),
        RoundAnswer("place-sequence", NOT_HERE, note="one corner"),
    ]
    given += the_rest(given, asked=asked(), answer=RIGHT)
    found = count(given, asked=asked())
    assert found.asked == len(asked())
    assert found.deficient == found.does_not_apply == 1
    assert found.right == found.grouped + 1
    assert found.right + 1 + 1 + found.not_looked_at == found.asked
    assert found.not_looked_at > 0


def test_photographs_are_owed_for_hearts_and_hardened_work_only():
    given = [
        RoundAnswer("place-sloughing", DEFICIENT),
        RoundAnswer("place-sand-pockets", DEFICIENT, photographs=("PH-001",)),
        RoundAnswer("place-encasement", RIGHT),
        RoundAnswer("place-overspray", DEFICIENT),
        RoundAnswer("after-sounding", DEFICIENT),
    ]
    owed = photographs_owed(given, edition=edition())
    assert owed == ("place-sloughing", "after-sounding")
    shown = photographs_owed(given, edition=edition(), shown=["after-sounding"])
    assert shown == ("place-sloughing",)


STATES = {"ok": RIGHT, "deficient": DEFICIENT, "na": NOT_HERE, "not_observed": NOT_SEEN}
UNITS = {"degF": "F", "ft2_per_gal": "ft2/gal"}


def answer_of(raw):
    value = None
    if "value" in raw:
        unit = UNITS.get(raw["unit"], raw["unit"])
        value = Quantity(Decimal(str(raw["value"])), unit)
    return RoundAnswer(
        raw["item"], STATES[raw["status"]], value=value, note=raw.get("note") or ""
    )


PARTS = {part["code"]: part for e in SCENARIO["elements"] for part in e["parts"]}


@pytest.mark.parametrize("placement", SCENARIO["placements"], ids=lambda p: p["id"])
def test_each_round_of_the_scenario_is_kept_as_given(placement):
    part = PARTS[placement["part_code"]]
    features = features_of(part["has"])
    assert len(placement["rounds"]) >= 3
    for one in placement["rounds"]:
        questions = asked(
            *(RoundKind(kind) for kind in one["kind"]),
            features=features,
            process=Process(placement["process"]),
            position=Position(part["position"]),
        )
        answers = [answer_of(raw) for raw in one["answers"]]
        if one["rest"] == "ok":
            answers += the_rest(answers, asked=questions, answer=RIGHT)
        found = round_faults(
            answers, edition=edition(), asked=questions, features=features
        )
        assert [str(fault) for fault in found] == []
        deficient = sum(raw["status"] == "deficient" for raw in one["answers"])
        assert count(answers, asked=questions).deficient == deficient
