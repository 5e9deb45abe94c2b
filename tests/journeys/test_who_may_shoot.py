"""Who was qualified on record, asked of the built job, at every listed instant.

Source of every expected answer: tests/tables/expected.json, computed from the facts
by an independent reading of the rules. Compared are verdicts and the failed gates
of all but the mix.
"""

from __future__ import annotations

import json
from io import StringIO
from typing import Any

import pytest
from django.core.management import call_command

from crews.domain.qualification import words
from crews.domain.trade_words import Method, Moment
from crews.models import Eligibility, Operator
from crews.queries.matrix import matrix
from crews.queries.qualification import operator_standing
from crews.queries.shooting import codes_on, shooting
from project import clock
from project.domain.verdict import State
from project.models import ElementPart, Job, MixRevision
from project.queries.jobs import approved_mix, mixes
from tests.journeys.conftest import WANTED, at
from tests.support.demo import SCENARIO

_GATES = {"assignment": "enrolment", "card": "card", "level": "level"}
_GATES |= {"mock-up": "mock-up", "idle": "activity", "suspended": "suspension"}
_COMPARED = set(_GATES.values())


def _failed(wanted: dict[str, Any]) -> set[str]:
    keys = {line.split(":")[0] for line in wanted.get("failed", [])}
    return {_GATES[key] for key in keys if key in _GATES}


def _agrees(verdict, wanted: dict[str, Any]) -> None:
    assert words(verdict) == wanted["verdict"]
    failed = {reason.key for reason in verdict.failed} & _COMPARED
    assert failed == _failed(wanted)


def _operator(job: Job, code: str) -> Operator:
    found = {named: pk for pk, named in codes_on(job).items()}
    return Operator.objects.get(pk=found[code])


def _mix(job: Job, code: str, on) -> MixRevision:
    found = approved_mix(mixes(job, known_at=SCENARIO.as_of), code, on=on)
    assert found is not None
    return found


@pytest.mark.parametrize(
    "question",
    WANTED["eligibility_at"],
    ids=[f"{q['part']} {q['at']}" for q in WANTED["eligibility_at"]],
)
def test_the_command_says_the_same_as_was_reckoned_apart(demo, question):
    out = StringIO()
    asked = {"part": question["part"], "at": question["at"], "mix": question["mix"]}
    known_at = f"{demo.local(SCENARIO.as_of):%Y-%m-%d %H:%M}"
    with clock.set_to(SCENARIO.as_of):
        call_command(
            "eligibility",
            demo.code,
            **asked,
            known_at=known_at,
            json=True,
            stdout=out,
        )
    told = json.loads(out.getvalue())
    (part,) = told["parts"]
    assert part["part"] == question["part"]
    assert {one["operator"]: one["words"] for one in part["operators"]} == {
        code: wanted["verdict"] for code, wanted in question["answers"].items()
    }
    for one in part["operators"]:
        failed = {r["key"] for r in one["reasons"] if r["state"] == "fail"}
        assert failed & _COMPARED == _failed(question["answers"][one["operator"]])


@pytest.mark.parametrize(
    "question",
    WANTED["eligibility_at"],
    ids=[f"{q['part']} {q['at']}" for q in WANTED["eligibility_at"]],
)
def test_the_matrix_says_who_may_shoot(demo, question):
    instant = at(question["at"])
    mix = _mix(demo, question["mix"], demo.local(instant).date())
    table = matrix(demo, as_of=instant, known_at=SCENARIO.as_of, mix=mix)
    row = next(r for r in table.rows if r.part.part.code == question["part"])
    found = {standing.code: standing.verdict for standing in row.standings}
    assert set(found) == set(question["answers"])
    for code, wanted in question["answers"].items():
        _agrees(found[code], wanted)


def test_a_robotic_certificate_opens_no_hand_part_nor_the_reverse(demo):
    wanted = WANTED["eligibility_robotic"]
    instant = at(wanted["at"])
    for method in Method:
        verdict = operator_standing(
            demo,
            operator=_operator(demo, wanted["operator"]),
            part=ElementPart.objects.get(code=wanted["part"]),
            start=instant,
            known_at=SCENARIO.as_of,
            method=method,
        )
        _agrees(verdict, wanted[method.value])


def _held(job: Job):
    placed = shooting(job, known_at=SCENARIO.as_of)
    return {(p.row.code, held.code): held for p in placed for held in p.times}


def test_every_take_froze_the_answer_of_its_instant(demo):
    """OP-03's wrong card was still believed on 20 August: that is what was frozen."""
    held = _held(demo)
    believed = {
        (row["part"], row["operator"]): row
        for row in WANTED["eligibility_two_clocks"]
        if row["known_at"] == row["as_of"]
    }
    starts = WANTED["eligibility_at_start_of_each_nozzle_time"]
    assert len(held) == len(starts)
    for wanted in starts:
        own = held[wanted["placement"], wanted["operator"]]
        key = (wanted["part"], wanted["operator"])
        late = wanted["placement"] == "PL-013"
        assert own.take is not None
        _agrees(own.take.verdict, believed[key] if late else wanted)
        assert own.take.row.as_of == at(wanted["start"])


def test_judged_again_with_what_is_known_now_two_takes_were_not_permitted(demo):
    refused = []
    for (placement, code), own in sorted(_held(demo).items()):
        row = own.row
        verdict = operator_standing(
            demo,
            operator=own.operator,
            part=row.placement.part,
            start=row.started_at,
            stop=row.stopped_at,
            known_at=SCENARIO.as_of,
            mix=row.placement.mix_revision,
            rig=row.placement.rig,
        )
        if verdict.state is State.FAIL:
            failed = {r.key for r in verdict.failed} & _COMPARED
            refused.append((placement, code, failed))
    assert refused == [
        (line["placement"], line["operator"], _failed(line))
        for line in WANTED["not_permitted"]
    ]


@pytest.mark.parametrize(
    "wanted",
    WANTED["eligibility_two_clocks"],
    ids=[row["known_at"] for row in WANTED["eligibility_two_clocks"]],
)
def test_what_was_known_then_stays_answerable(demo, wanted):
    verdict = operator_standing(
        demo,
        operator=_operator(demo, wanted["operator"]),
        part=ElementPart.objects.get(code=wanted["part"]),
        start=at(wanted["as_of"]),
        known_at=at(wanted["known_at"]),
    )
    _agrees(verdict, wanted)


def test_a_take_written_down_late_says_both_times(demo):
    own = _held(demo)["PL-008", "OP-02"]
    assert own.row.started_at == at("2026-08-13T12:10")
    assert own.take.row.as_of == at("2026-08-13T12:10")
    assert own.row.recorded_at >= at("2026-08-13T12:40")
    assert own.take.verdict.state is State.FAIL


def test_the_last_day_of_a_card_is_a_valid_day(demo):
    own = _held(demo)["PL-012", "OP-03"]
    verdict = operator_standing(
        demo,
        operator=own.operator,
        part=own.row.placement.part,
        start=own.row.started_at,
        stop=own.row.stopped_at,
        known_at=SCENARIO.as_of,
        rig=own.row.placement.rig,
    )
    assert verdict.state is State.PASS
    assert demo.local(verdict.holds_until).date().isoformat() == "2026-08-19"


def test_each_nozzle_time_froze_its_take_and_its_whole_interval(demo):
    moments = list(Eligibility.objects.values_list("moment", flat=True))
    assert moments.count(Moment.TAKE) == 28
    assert moments.count(Moment.WHOLE_INTERVAL) == 28
