"""A walk chosen and answered on the pages, with radio buttons alone."""

from __future__ import annotations

import re
from datetime import date
from decimal import Decimal

import pytest

from inspections.domain.catalogue import HEARTS
from inspections.models import Deficiency, Round
from project.actions.jobs import revise_terms
from project.domain.editions import Departure
from project.models import new_id
from tests.crews.acts import nothing_written
from tests.crews.pages import Visitor, complaints, words
from tests.factories import make_mix, shoot
from tests.factories.kernel import TERMS
from tests.inspections.hands import find, load, sign
from tests.inspections.wall import DAY, at

AFTERNOON = f"{DAY} 15:00"


@pytest.fixture
def eye(wall):
    return Visitor(wall.inspector, at=AFTERNOON)


def _query(wall, *kinds):
    pairs = [f"kind={kind}" for kind in kinds or ("round",)]
    return "&".join([*pairs, f"placement={wall.placement.first}"])


def _get(eye, query, *place, name="walk"):
    with eye._clock():
        return eye.client.get(eye.url(name, *place) + "?" + query)


def _post(eye, query, data, *place, name="walk"):
    with eye._clock():
        return eye.client.post(eye.url(name, *place) + "?" + query, data)


def _answers():
    return {"id": new_id(), "at": f"{DAY}T09:41"}


def test_what_is_looked_at_is_chosen_before_the_walk(wall, eye):
    page = eye.get("walk", 1)
    assert page.status_code == 200
    assert "While shooting" in words(page)
    answer = _get(eye, "kind=lunch", 1)
    assert answer.status_code == 422
    assert "lunch is not on this list" in words(answer)
    answer = _get(eye, f"kind=round&placement={new_id()}", 1)
    assert "not on this list" in " ".join(complaints(answer)["placement"])


def test_the_hearts_come_first_and_nothing_is_answered_beforehand(wall, eye):
    shoot(wall.site, wall.placement, wall.operator, f"{DAY} 07:00", f"{DAY} 15:30")
    page = _get(eye, _query(wall), 1)
    told = words(page)
    assert "Round 1" in told or "round 1" in told
    assert wall.operator.legal_name in told
    assert "on the nozzle since 07:00" in told
    text = page.content.decode()
    first = re.findall(r'name="answer-([a-z-]+)"', text)
    assert list(dict.fromkeys(first))[:4] == sorted(HEARTS, key=first.index)
    assert set(dict.fromkeys(first[:16])) == set(HEARTS)
    assert "checked" not in text
    assert "<script" not in text


@pytest.mark.usefixtures("sound")
def test_a_walk_sent_twice_is_one_walk_with_its_deficiency(wall, eye):
    query = _query(wall)
    sent = _answers() | {
        "answer-place-encasement": "right",
        "answer-place-rebound-trapped": "deficient",
        "cause-place-rebound-trapped": "Blow pipe late",
        "correction-place-rebound-trapped": "Cut out and reshot",
        "note-place-rebound-trapped": "Loose grains in the corner",
        "place-place-rebound-trapped": "station 1+12",
        "rest": "right",
    }
    for _ in range(2):
        answer = _post(eye, query, sent, 1)
        assert answer.url == eye.url("report", 1) + "#rounds"
    walk = Round.objects.get()
    given = {one["item"]: one for one in walk.answers}
    assert given["place-encasement"]["answer"] == "right"
    assert not given["place-encasement"]["grouped"]
    for heart in ("place-sand-pockets", "place-sloughing"):
        assert given[heart]["answer"] == "not_looked_at"  # never covered by the rest
    grouped = [one for one in walk.answers if one["grouped"]]
    assert grouped
    assert {one["answer"] for one in grouped} == {"right"}
    row = Deficiency.objects.get()
    assert (row.item, row.place, row.cause, row.words) == (
        "place-rebound-trapped",
        "station 1+12",
        "Blow pipe late",
        "Loose grains in the corner",
    )
    page = words(eye.get("report", 1))
    assert "with 1 deficient item" in page
    assert "A photograph is asked of: Rebound entrapment" in page
    assert "DEF-001" in page


@pytest.mark.parametrize(
    ("changes", "said"),
    [
        ({"answer-place-encasement": "perhaps"}, "Answer perhaps; allowed are right"),
        ({"answer-place-sand-pockets": "does_not_apply"}, "why it does not exist here"),
        ({"note-place-encasement": "seen"}, "seen is typed, and no answer is given"),
        (
            {"answer-place-encasement": "right", "value-place-encasement": "3"},
            "Reading 3; no reading is taken here",
        ),
        (
            {"answer-place-rebound-trapped": "deficient",
             "severity-place-rebound-trapped": "shout"},
            "severity shout; allowed are advisory",
        ),
        (
            {"answer-place-rebound-trapped": "deficient",
             "already-place-rebound-trapped": "DEF-099"},
            "already DEF-099; allowed are none",
        ),
        (
            {"answer-place-rebound-trapped": "deficient",
             "cause-place-rebound-trapped": "x" * 121},
            "cause of 121 letters; allowed are 120",
        ),
        ({"rest": "deficient"}, "deficient is not one of the available choices"),
        ({"at": f"{DAY}T23:00"}, "lies ahead"),
        ({"at": "noon"}, "noon is not a date and time"),
    ],
)  # fmt: skip
def test_an_answer_that_cannot_be_saves_nothing_and_stays_typed(
    wall, eye, changes, said
):
    sent = _answers() | {"answer-place-sloughing": "right"} | changes
    with nothing_written(wall.job):
        answer = _post(eye, _query(wall), sent, 1)
    assert answer.status_code == 422
    assert said in words(answer)
    assert re.search(r'id="place-sloughing-right"\s+value="right"\s+checked',
                     answer.content.decode())  # fmt: skip
    assert not Round.objects.exists()


def test_a_measured_item_asks_for_its_reading_in_a_known_unit(wall, eye):
    query = _query(wall, "layer")
    lines = _get(eye, query, 1).context["form"].lines
    measured = next(line for line in lines if line.is_measure)
    key, unit = measured.key, measured.item.unit
    for value, given, said in (
        ("", unit, "value missing; allowed is a reading in one of"),
        ("thick", unit, "thick is not a number"),
        ("3", "psi", "Unit psi; allowed are"),
    ):
        sent = _answers() | {
            f"answer-{key}": "right",
            f"value-{key}": value,
            f"unit-{key}": given,
        }
        with nothing_written(wall.job):
            answer = _post(eye, query, sent, 1)
        assert said in words(answer), value
    sent |= {f"value-{key}": "2.50", f"unit-{key}": unit}
    assert _post(eye, query, sent, 1).status_code == 302
    kept = {one["item"]: one for one in Round.objects.get().answers}
    assert kept[key]["value"] == ["2.50", unit]


def test_what_is_still_open_is_seen_again_and_not_opened_twice(wall, eye):
    row = find(wall, item="place-rebound-trapped", place="station 1+12")
    page = words(_get(eye, _query(wall), 1))
    assert "DEF-001 station 1+12" in page
    sent = _answers() | {
        "answer-place-rebound-trapped": "deficient",
        "already-place-rebound-trapped": row.code,
        "note-place-rebound-trapped": "still there",
    }
    assert _post(eye, _query(wall), sent, 1).status_code == 302
    assert Deficiency.objects.count() == 1


def test_a_walk_is_put_right_with_its_reason(wall, eye):
    query = _query(wall)
    _post(eye, query, _answers() | {"answer-place-encasement": "right"}, 1)
    walk = Round.objects.get()
    page = eye.get("correct_round", 1, walk.first)
    assert re.search(r'id="place-encasement-right"\s+value="right"\s+checked',
                     page.content.decode())  # fmt: skip
    sent = _answers() | {
        "answer-place-encasement": "right",
        "answer-place-sloughing": "right",
    }
    with nothing_written(wall.job):
        answer = eye.post("correct_round", 1, walk.first, data=sent)
    assert complaints(answer)["reason"]
    sent["reason"] = "one answer was forgotten"
    eye.post("correct_round", 1, walk.first, data=sent)
    now = Round.objects.get(supersedes=walk.pk)
    given = {one["item"]: one["answer"] for one in now.answers}
    assert given["place-sloughing"] == "right"
    assert now.reason == "one answer was forgotten"


@pytest.mark.usefixtures("sound")
def test_a_curing_visit_stands_without_a_sheet_by_its_part(wall, eye):
    sign(wall)
    assert _get(eye, "kind=visit", name="walk_late").status_code == 422
    query = f"kind=visit&part={wall.part.pk}"
    page = _get(eye, query, name="walk_late")
    line = page.context["form"].lines[0]
    sent = _answers() | {f"answer-{line.key}": "does_not_apply",
                         f"note-{line.key}": "kept wet, no clock needed"}  # fmt: skip
    for _ in range(2):
        answer = _post(eye, query, sent, name="walk_late")
        assert answer.url == eye.url("days")
    walk = Round.objects.get()
    assert (walk.report, walk.part) == (None, wall.part)
    assert "Curing visit" in words(eye.get("days"))
    own = Visitor(wall.qc, at=AFTERNOON)
    assert "Seen without a sheet" in words(own.get("days"))
    others = Visitor(wall.other_qc, at=AFTERNOON)
    assert "Seen without a sheet" not in words(others.get("days"))


def test_the_load_being_shot_stands_over_the_walk_with_its_age(wall, eye):
    load(wall, batched_at=at("14:10"), arrived_at=at("14:30"), first_shot_at=at("14:35"),
         last_shot_at=None)  # fmt: skip
    told = words(_get(eye, _query(wall), 1))
    assert "load 52163, age 50 min , no limit given" in told


def test_the_limit_of_the_load_being_shot_is_its_mixs_or_the_contracts(wall, eye):
    mix = make_mix(wall.admin, wall.engineer, code="W-50L",
                   load_age_limit=Decimal(90), load_age_limit_unit="min")  # fmt: skip
    usual = {"arrived_at": None, "first_shot_at": None, "last_shot_at": None}
    load(wall, batched_at=at("14:10"), mix_revision=mix, **usual)
    told = words(_get(eye, _query(wall), 1)).replace("\u00a0", " ")
    assert "age 50 min , mix limit 90 min" in told
    load(wall, ticket="52164", batched_at=at("14:20"), mix_revision=wall.mix, **usual)
    late = {"load_age": Departure(Decimal(60), "min", "as the plant asked")}
    revise_terms(id=new_id(), by=wall.admin, number=2, edition="ibc-2018-1908",
                 effective_on=date.fromisoformat(DAY), departures=TERMS | late)  # fmt: skip
    told = words(_get(eye, _query(wall), 1)).replace("\u00a0", " ")
    assert "age 40 min , contract limit 60 min" in told
