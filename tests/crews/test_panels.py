"""Panels, judgements and cores, entered through the actions."""

from __future__ import annotations

from datetime import date, timedelta

import pytest
from django.core.exceptions import PermissionDenied

from crews.actions.panels import accept_substitute, judge_panel, shoot_panel
from crews.domain.trade_words import DecisionOutcome, PanelKind
from crews.models import Panel, PanelJudgement
from project import clock
from project.actions.signatures import Proof
from project.domain.shooting_words import Position
from project.models import Signature, new_id
from tests.crews.acts import lines, nothing_written, one_line, refused
from tests.factories import (
    at,
    bars,
    clock_at,
    make_judgement,
    make_panel,
    make_placement,
    make_shift,
    prove_now,
    q,
    shoot,
)
from tests.support.made_once import made_once

SHOT = "2026-08-04 09:00"


@made_once
def shift(site):
    with clock_at("2026-08-04 06:50"):
        return make_shift(site.inspector, site.contractor)


def _panel(site, **facts):
    given = {
        "id": new_id(),
        "by": site.inspector,
        "kind": PanelKind.PRODUCTION,
        "mix": site.mix,
        "position": Position.VERTICAL,
        "shot_from": at(SHOT),
        "operator": site.operator,
        "rig": site.rig,
    }
    return given | facts


def _mock_up(site, **facts):
    own = {
        "kind": PanelKind.MOCK_UP,
        "thickness": q("10 in"),
        "reinforcement": bars(),
    }
    return _panel(site, **own | facts)


def test_a_production_panel_takes_its_code_and_its_shifts_date(site, shift):
    with clock_at(SHOT), one_line(site.job, "panel.shot"):
        panel = shoot_panel(**_panel(site, shift=shift))
    assert (panel.code, panel.work_date) == ("TP-001", shift.work_date)


def test_a_panel_shot_after_midnight_bears_the_date_of_its_shift(site):
    from crews.domain.trade_words import ShiftName

    with clock_at("2026-08-04 20:50"):
        night = make_shift(
            site.inspector, site.contractor, name=ShiftName.NIGHT, starts="21:00"
        )
    with clock_at("2026-08-05 01:30"):
        given = _panel(site, shift=night, shot_from=at("2026-08-05 01:30"))
        panel = shoot_panel(**given)
    assert panel.work_date == date(2026, 8, 4)


def test_a_placement_brings_its_shift_its_part_and_its_rig(site, shift):
    with clock_at(SHOT):
        placed = make_placement(site, shift)
        panel = shoot_panel(**_panel(site, placement=placed, rig=None))
    assert panel.shift_id == shift.first
    assert (panel.part, panel.rig) == (site.wall.part, site.rig)


def test_the_same_panel_sent_twice_is_one_panel(site, shift):
    given = _panel(site, shift=shift)
    with clock_at(SHOT):
        first = shoot_panel(**given)
        with nothing_written(site.job):
            assert shoot_panel(**given) == first
    assert Panel.objects.count() == 1


@pytest.mark.parametrize(
    ("kind", "code"),
    [
        (PanelKind.PRODUCTION, "TP-001"),
        (PanelKind.MOCK_UP, "MU-01"),
        (PanelKind.FINISH_SAMPLE, "FS-01"),
        (PanelKind.PRECONSTRUCTION_MATERIAL, "PM-01"),
        (PanelKind.IN_PLACE, "IP-01"),
    ],
)
def test_each_of_the_five_kinds_has_its_own_codes(site, shift, kind, code):
    with clock_at(SHOT):
        own = {"kind": kind, "shift": shift, "part": site.wall.part}
        panel = shoot_panel(**_panel(site, thickness=q("10 in"), **own))
    assert panel.code == code


@pytest.mark.parametrize(
    ("kind", "without"),
    [
        (PanelKind.PRODUCTION, "operator"),
        (PanelKind.PRODUCTION, "rig"),
        (PanelKind.MOCK_UP, "operator"),
        (PanelKind.MOCK_UP, "thickness"),
        (PanelKind.IN_PLACE, "part"),
    ],
)
def test_what_a_kind_cannot_be_without_is_asked_for_by_field(
    site, shift, kind, without
):
    whole = {"thickness": q("10 in"), "part": site.wall.part, "shift": shift}
    given = _panel(site, kind=kind, **whole) | {without: None}
    with clock_at(SHOT):
        assert without in refused(shoot_panel, **given)


@pytest.mark.parametrize(
    ("facts", "field"),
    [
        ({"shot_from": at("2026-08-04 09:01")}, "shot_from"),
        ({"shot_to": at(SHOT)}, "shot_to"),
        ({"code": "MU-01"}, "code"),
        ({"thickness": q("-1 in")}, "thickness"),
        ({"thickness": q("10 psi")}, "thickness"),
    ],
)
def test_a_panel_that_cannot_be_is_refused_by_field(site, shift, facts, field):
    with clock_at(SHOT):
        assert field in refused(shoot_panel, **_panel(site, shift=shift, **facts))


def test_a_panel_is_not_shared_with_its_own_operator(site, shift):
    given = _panel(site, shift=shift, shared_with=site.operator)
    with clock_at(SHOT):
        assert "shared_with" in refused(shoot_panel, **given)


def test_a_laboratory_without_a_member_on_the_job_is_refused(site, shift, elsewhere):
    given = _panel(site, shift=shift, laboratory=elsewhere.laboratory)
    with clock_at(SHOT):
        assert "laboratory" in refused(shoot_panel, **given)


def test_a_contractor_records_panels_of_its_own_people_only(site, shift):
    with clock_at(SHOT), nothing_written(), pytest.raises(PermissionDenied):
        shoot_panel(**_panel(site, shift=shift, by=site.other_qc))


def _judge(site, panel, **facts):
    by = facts.get("by", site.engineer)
    given = {
        "id": new_id(),
        "by": by,
        "panel": panel,
        "decision": DecisionOutcome.ACCEPTED,
        "decided_at": at("2026-07-29 15:10"),
        "words": "Bars encased at the crossings.",
        "proof": prove_now(by),
        "printed_name": by.user.printed_name,
    }
    return given | facts


@made_once
def mock_up(site):
    return make_panel(site, PanelKind.MOCK_UP, shot="2026-07-20 08:30")


def test_a_judgement_is_signed_and_its_line_is_about_the_judgement(site, mock_up):
    with clock_at("2026-07-29 15:10"), one_line(site.job, "panel.judged"):
        row = judge_panel(**_judge(site, mock_up))
    line = lines(site.job.stream)[-1]
    assert line.subject_id == row.pk
    assert [kind for kind, *_ in line.payload["rows"]] == [
        "signature",
        "paneljudgement",
    ]
    assert row.signature.printed_name == "Rhoswen Takeda"
    assert len(row.signature.content_sha256) == 64


def test_the_same_judgement_sent_twice_is_one_signature(site, mock_up):
    with clock_at("2026-07-29 15:10"):
        given = _judge(site, mock_up)
        first = judge_panel(**given)
        with nothing_written(site.job):
            assert judge_panel(**given) == first
    assert Signature.objects.count() == PanelJudgement.objects.count() == 1


@pytest.mark.parametrize("who", ["inspector", "qc", "owner", "architect", "admin"])
def test_only_the_engineer_judges_a_mock_up(site, mock_up, who):
    with (
        clock_at("2026-07-29 15:10"),
        nothing_written(),
        pytest.raises(PermissionDenied),
    ):
        judge_panel(**_judge(site, mock_up, by=site.members[who]))


def test_a_finish_sample_is_the_architects_or_the_engineers(site):
    sample = make_panel(site, PanelKind.FINISH_SAMPLE, shot="2026-07-22 13:30")
    make_judgement(
        site, sample, "2026-07-29 14:20", by=site.members["architect"], words="even"
    )
    with (
        clock_at("2026-07-29 15:10"),
        nothing_written(),
        pytest.raises(PermissionDenied),
    ):
        judge_panel(**_judge(site, sample, by=site.inspector))
    with clock_at("2026-07-29 15:10"):
        supervised = DecisionOutcome.ACCEPTED_UNDER_SUPERVISION
        given = _judge(site, sample, decision=supervised)
        assert "decision" in refused(judge_panel, **given)


def test_a_production_panel_is_judged_by_its_cores(site, shift):
    panel = make_panel(site, shift=shift)
    with clock_at("2026-08-05 10:00"):
        given = _judge(site, panel, decided_at=at("2026-08-05 10:00"))
        assert "panel" in refused(judge_panel, **given)


@pytest.mark.parametrize(
    ("facts", "field"),
    [
        ({"words": " "}, "words"),
        ({"decided_at": at("2026-07-19 10:00")}, "decided_at"),
        ({"decided_at": at("2026-07-30 10:00")}, "decided_at"),
        ({"printed_name": "Somebody Else"}, "printed_name"),
        ({"decision": DecisionOutcome.SUBSTITUTE_ACCEPTED}, "decision"),
    ],
)
def test_a_judgement_that_cannot_be_is_refused_by_field(site, mock_up, facts, field):
    with clock_at("2026-07-29 15:10"):
        assert field in refused(judge_panel, **_judge(site, mock_up, **facts))


def test_a_proof_of_another_person_or_too_old_signs_nothing(site, mock_up):
    with clock_at("2026-07-29 15:10"):
        foreign = Proof(user_id=site.inspector.user_id, at=clock.now())
        old = Proof(
            user_id=site.engineer.user_id, at=clock.now() - timedelta(minutes=6)
        )
        for proof in (foreign, old):
            given = _judge(site, mock_up, proof=proof)
            assert "password" in refused(judge_panel, **given)


def test_a_judgement_is_corrected_by_a_new_one_with_a_reason(site, mock_up):
    first = make_judgement(site, mock_up, "2026-07-29 15:10")
    with clock_at("2026-08-03 09:00"):
        given = _judge(
            site,
            mock_up,
            decision=DecisionOutcome.REJECTED,
            decided_at=at("2026-08-03 09:00"),
            supersedes=first,
        )
        assert "reason" in refused(judge_panel, **given)
        new = judge_panel(**given, reason="void found when sawn")
    assert new.first == first.pk
    other = make_panel(site, PanelKind.MOCK_UP, shot="2026-07-21 08:30")
    with clock_at("2026-08-04 09:00"):
        given = _judge(site, other, supersedes=new, reason="slip")
        assert "supersedes" in refused(judge_panel, **given)


def test_cores_from_the_work_are_accepted_for_a_missing_panel(site, shift):
    with clock_at("2026-08-04 07:00"):
        placed = make_placement(site, shift)
    held = shoot(site, placed, site.operator, "2026-08-04 07:10", "2026-08-04 11:00")
    panel = make_panel(
        site,
        PanelKind.IN_PLACE,
        placement=placed,
        operator=None,
        size=None,
        stands_for=held,
    )
    given = {
        "id": new_id(),
        "panel": panel,
        "decided_at": at("2026-09-10 16:30"),
        "words": "Three cores stand for the panel.",
    }
    with clock_at("2026-09-10 16:30"):
        by = site.engineer
        whole = given | {
            "proof": prove_now(by),
            "printed_name": by.user.printed_name,
        }
        with nothing_written(), pytest.raises(PermissionDenied):
            accept_substitute(by=site.inspector, **whole)
        with one_line(site.job, "panel.judged"):
            accept_substitute(by=by, **whole)
        plain = make_panel(site, shift=shift)
        assert "panel" in refused(accept_substitute, by=by, **whole | {"panel": plain})
