"""Signing: what was shown is what is signed, once; then locked, reviewed, amended."""

from __future__ import annotations

from copy import deepcopy
from hashlib import sha256

import pytest
from django.core.exceptions import PermissionDenied, ValidationError

from crews.actions.nozzle import record_nozzle_time
from inspections.actions.corrections import correct_entry, withdraw_entry
from inspections.actions.flags import clear_flag
from inspections.actions.loads import (
    LoadAsCame,
    finish_load,
    record_fresh_test,
    record_load,
)
from inspections.actions.readings import Measured, record_readings
from inspections.actions.reports import (
    open_report,
    record_weather,
    void_report,
)
from inspections.actions.rounds import Walk, correct_round, record_round
from inspections.domain.catalogue import HEARTS, AnswerState, RoundKind
from inspections.domain.rounds import RoundAnswer
from inspections.models import DailyReport, Move, ReportVersion
from inspections.queries.content import content_now
from inspections.queries.flags import flags_of, uncleared_flags
from project import clock
from project.actions.jobs import revise_terms
from project.actions.signatures import prove
from project.domain.canonical import canonical, sha256_of
from project.domain.editions import Departure
from project.models import AuditEvent, FlagCleared, Signature, new_id
from project.queries.jobs import now_on
from tests.inspections.hands import SHOT_TOO_SOON, load, remark, review, shown, sign
from tests.inspections.wall import DAY, at, q


@pytest.mark.usefixtures("sound")
def test_the_hash_is_of_the_canonical_text_and_kept_in_three_places(wall, lines):
    remark(wall)
    load(wall)
    before = lines()
    version = sign(wall)
    text = canonical(version.content).encode()
    assert version.sha256 == sha256(text).hexdigest()  # FIPS 180-4, by hashlib
    assert version.sha256 == version.signature.content_sha256
    move = Move.objects.get(report=wall.report.first)
    assert (move.state, move.evidence["sha256"]) == ("signed", version.sha256)
    assert move.signature_id == version.signature_id
    assert lines() == before + 1
    line = AuditEvent.objects.filter(stream=wall.job.stream).last()
    assert (line.verb, line.subject_id) == ("report.signed", wall.report.pk)
    read_back = ReportVersion.objects.get(pk=version.pk)
    assert sha256_of(read_back.content) == version.sha256


def test_the_content_says_the_same_whenever_it_is_asked(wall):
    remark(wall)
    first = content_now(wall.report, known_at=now_on(wall.job))
    with clock.set_to(at("2026-08-12 09:00")):
        assert content_now(wall.report, known_at=now_on(wall.job)) == first
    assert list(first) == [
        *("shape", "sheet", "shift", "placed", "crew", "loads", "weather"),
        *("rounds", "readings", "panels", "deficiencies", "remarks", "photographs"),
    ]


def test_a_sheet_that_changed_since_it_was_read_is_not_signed(wall, lines):
    read = shown(wall)
    remark(wall)
    before = lines()
    with pytest.raises(ValidationError) as refused:
        sign(wall, content_sha256=read)
    assert "changed since you read it" in refused.value.messages[0]
    assert (ReportVersion.objects.count(), Signature.objects.count()) == (0, 0)
    assert lines() == before


@pytest.mark.parametrize(
    ("changes", "field"),
    [
        ({"printed_name": "O. Varga"}, "printed_name"),
        ({"meaning": " "}, "meaning"),
    ],
)
def test_a_signature_without_its_parts_signs_nothing(wall, lines, changes, field):
    before = lines()
    with pytest.raises(ValidationError) as refused:
        sign(wall, **changes)
    assert field in refused.value.message_dict
    assert (ReportVersion.objects.count(), lines()) == (0, before)


def test_a_wrong_or_old_password_or_anothers_signs_nothing(wall):
    with pytest.raises(ValidationError, match="not your password"):
        prove(wall.inspector.user, "guessed")
    old = wall.proof(wall.inspector)
    with clock.set_to(at("15:06")), pytest.raises(ValidationError, match="again"):
        sign(wall, proof=old)
    with pytest.raises(ValidationError, match="again"):
        sign(wall, proof=wall.proof(wall.associate))
    assert ReportVersion.objects.count() == 0


def test_only_the_sheets_own_inspector_signs_it(wall):
    with pytest.raises(ValidationError, match="the sheet of Ottilie Varga"):
        sign(wall, wall.associate)
    with pytest.raises(PermissionDenied):
        sign(wall, wall.reviewer)
    with pytest.raises(PermissionDenied):
        sign(wall, wall.qc)


def test_signed_twice_is_signed_once_and_the_second_is_told_who(wall, lines):
    id = new_id()
    version, before = sign(wall, id=id), lines()
    assert sign(wall, id=id) == version
    with pytest.raises(ValidationError) as told:
        sign(wall)
    said = told.value.message_dict["report"][0]
    assert "DFR-001 was signed by Ottilie Varga on 2026-08-11 15:00" in said
    assert (ReportVersion.objects.count(), lines()) == (1, before)


def test_an_associate_signs_alone_only_where_the_contract_lets_it(wall):
    theirs = open_report(id=new_id(), by=wall.associate, shift=wall.shift)
    with pytest.raises(ValidationError) as refused:
        sign(wall, wall.associate, theirs)
    said = refused.value.message_dict["may_sign"][0]
    assert "the terms let this member sign" in said
    revise_terms(
        id=new_id(),
        by=wall.admin,
        number=2,
        edition="ibc-2018-1908",
        effective_on=wall.shift.work_date,
        departures={"associate_signs_alone": Departure(True, reason="OV-1, 1.6")},
    )
    assert sign(wall, wall.associate, theirs).n == 1


def everything_that_writes(wall) -> dict:
    """Return every way to write on a sheet, ready to be called."""
    kept, came = remark(wall), load(wall, last_shot_at=None)
    hearts = [RoundAnswer(key, AnswerState.RIGHT) for key in HEARTS]
    walk = Walk(
        kinds=[RoundKind.ROUND],
        at=at("08:00"),
        edition="1.0.0",
        answers=hearts,
        placement=wall.placement,
    )
    walked = record_round(id=new_id(), by=wall.inspector, report=wall.report, walk=walk)
    own = {"id": new_id(), "by": wall.inspector}
    on = own | {"report": wall.report}
    return {
        "remark": lambda: remark(wall),
        "weather": lambda: record_weather(**on, at=at("09:00"), air=q("70", "F")),
        "readings": lambda: record_readings(
            **on, kind="thickness", at=at("09:00"), readings=[Measured(q("10", "in"))]
        ),
        "load": lambda: load(wall),
        "load's end": lambda: finish_load(
            by=wall.inspector, load=came, last_shot_at=at("08:00")
        ),
        "fresh test": lambda: record_fresh_test(
            **own, load=came, at=at("08:00"), kind="slump", value=q("2.5", "in")
        ),
        "walk": lambda: record_round(**on, walk=walk),
        "corrected walk": lambda: correct_round(
            **own | {"id": new_id()}, round=walked, walk=walk, reason="read again"
        ),
        "correction": lambda: correct_entry(
            **own, entry=kept, reason="read again", words="Nobody."
        ),
        "withdrawal": lambda: withdraw_entry(**own, entry=came, reason="read again"),
        "void": lambda: void_report(
            by=wall.inspector, report=wall.report, reason="wrong shift"
        ),
    }


def test_nothing_can_be_written_on_a_signed_sheet(wall, lines):
    ways = everything_that_writes(wall)
    sign(wall)
    before = lines()
    for name, write in ways.items():
        with pytest.raises(ValidationError) as refused:
            write()
        said = refused.value.message_dict["report"][0]
        assert "DFR-001 was signed" in said, name
    assert lines() == before


@pytest.mark.usefixtures("sound")
def test_each_of_those_ways_writes_on_an_open_sheet(wall, lines):
    for write in everything_that_writes(deepcopy(wall)).values():
        before = lines()
        write()
        assert lines() == before + 1


def test_a_load_that_nobody_signed_for_may_still_come(wall):
    sign(wall)
    late = record_load(
        id=new_id(),
        by=wall.qc,
        shift=wall.shift,
        load=LoadAsCame(kind="truck", ticket="52199", volume=q("1", "yd3")),
    )
    assert late.report_id is None
    facts = {"load": late, "last_shot_at": at("14:00")}
    assert finish_load(by=wall.qc, **facts).last_shot_at == at("14:00")
    with pytest.raises(PermissionDenied):
        finish_load(by=wall.other_qc, **facts)


@pytest.mark.usefixtures("sound")
def test_flags_are_cleared_with_words_before_review(wall, lines):
    load(wall, **SHOT_TOO_SOON)
    load(wall)  # the same ticket again
    flags = flags_of(wall.report, known_at=now_on(wall.job))
    assert [flag.key for flag in flags] == [
        "shot before it was batched",
        "second ticket of the same number",
    ]
    sign(wall)
    with pytest.raises(ValidationError) as refused:
        review(wall)
    said = refused.value.message_dict["flags"][0]
    assert all(flag.words in said for flag in flags)
    assert Signature.objects.count() == 1
    before = lines()
    for flag, by in zip(flags, (wall.inspector, wall.reviewer), strict=True):
        for _twice in range(2):
            clear_flag(
                id=new_id(),
                by=by,
                report=wall.report,
                mark=flag.mark,
                words="The plant's clock was wrong; the driver said 07:02.",
            )
    assert FlagCleared.objects.count() == 2
    assert lines() == before + 2
    assert not uncleared_flags(wall.report, known_at=now_on(wall.job))
    assert review(wall).state == "reviewed"


def test_a_flag_needs_words_and_must_be_there(wall):
    load(wall, **SHOT_TOO_SOON)
    (flag,) = flags_of(wall.report, known_at=now_on(wall.job))
    facts = {"id": new_id(), "by": wall.inspector, "report": wall.report}
    with pytest.raises(ValidationError, match="words are needed"):
        clear_flag(**facts, mark=flag.mark, words=" ")
    with pytest.raises(ValidationError, match="is no flag of DFR-001 now"):
        clear_flag(**facts, mark="something else:1", words="It was nothing.")
    with pytest.raises(PermissionDenied):
        clear_flag(**(facts | {"by": wall.qc}), mark=flag.mark, words="Ours.")


def test_volume_beyond_the_loads_is_kept_and_flagged(wall):
    load(wall)
    record_nozzle_time(
        id=new_id(),
        by=wall.inspector,
        placement=wall.placement,
        operator=wall.operator,
        started_at=at("06:55"),
        stopped_at=at("08:00"),
        volume=q("4", "yd3"),
    )
    (flag,) = flags_of(wall.report, known_at=now_on(wall.job))
    assert flag.key == "volume beyond the loads"
    assert "4.00 yd3 placed, 3.30 yd3 delivered" in flag.words


def test_the_sheets_number_and_day_are_on_it(wall):
    content = sign(wall).content
    assert content["sheet"]["number"] == "DFR-001"
    assert content["shift"]["work_date"] == DAY
    assert content["placed"][0]["neat"] == ["12.90", "yd3"]  # 418 ft2 x 10 in / 324
    assert DailyReport.objects.count() == 1
