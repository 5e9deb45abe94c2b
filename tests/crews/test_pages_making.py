"""Shooting panels, judging them and drilling their cores, by the pages."""

from __future__ import annotations

import pytest

from crews.domain.trade_words import PanelKind
from crews.models import Core, Panel, PanelJudgement
from project.models import Signature, new_id
from tests.crews.acts import nothing_written
from tests.crews.pages import Visitor, a_day_with_one_panel_missing, complaints, words
from tests.factories import (
    PASSWORD,
    at,
    clock_at,
    make_cores,
    make_panel,
    make_placement,
    make_shift,
)
from tests.support.made_once import made_once


@made_once
def worked(qualified):
    return a_day_with_one_panel_missing(qualified)


# --- Shooting -------------------------------------------------------------------------


def _panel(site, **changes):
    sent = {
        "operator": site.trainee.pk,
        "placement": site.extra["placed"].first,
        "mix": site.mix.first,
        "position": "vertical",
        "method": "hand",
        "shot_from": "2026-08-04T10:30",
        "length_0": "24", "length_1": "in",
        "width_0": "24", "width_1": "in",
        "depth_0": "5", "depth_1": "in",
        "laboratory": site.laboratory.pk,
    }  # fmt: skip
    return sent | changes


def test_a_missing_panel_is_recorded_and_the_ledger_is_whole(worked):
    eye = Visitor(worked.inspector)
    shown = eye.get("shoot_panel", "production", placement="PL-001", operator="OP-02")
    body = shown.content.decode()
    assert f'value="{worked.trainee.pk}" selected' in body
    assert f'value="{worked.mix.first}" selected' in body
    response = eye.post("shoot_panel", "production", data=_panel(worked))
    assert response.url == eye.url("panel", "TP-002")
    made = Panel.objects.get(code="TP-002")
    assert made.shift_id == worked.extra["shift"].first
    assert made.rig == worked.rig
    assert not eye.get("panels").context["ledger"].missing


@pytest.mark.parametrize(
    ("changes", "field", "said"),
    [
        ({"operator": ""}, "operator", "required"),
        ({"shot_from": "2026-09-15T08:00"}, "shot_from", "lies ahead"),
        ({"shot_to": "2026-08-04T10:00"}, "shot_to", "allowed is later than"),
        ({"length_0": ""}, "length", "Give all three sides, or none."),
        ({"length_0": "0"}, "length", "0 in; allowed is more than 0."),
        ({"length_1": "yd3"}, "length", "Unit yd3; allowed are"),
        ({"code": "MU-03"}, "code", "Code MU-03; allowed is TP- and a number."),
        ({"code": "TP-001"}, "code", "Code TP-001 is taken on this job."),
        ({"position": "upside down"}, "position", "upside down is not on this list"),
        ({"width_0": "610", "width_1": "mm"}, "width", "give it in in like the others"),
    ],
)
def test_a_panel_that_cannot_be_is_refused_by_field(worked, changes, field, said):
    with nothing_written():
        response = Visitor(worked.inspector).post(
            "shoot_panel", "production", data=_panel(worked, **changes)
        )
    refused = complaints(response)
    assert said in " ".join(refused.get(field, [])), refused


@pytest.mark.parametrize(
    "field", ["operator", "mix", "placement", "rig", "laboratory", "part", "shift"]
)
def test_a_panel_names_no_row_of_another_job(worked, elsewhere, field):
    with clock_at("2026-08-04 06:50"):
        shift = make_shift(elsewhere.inspector, elsewhere.contractor)
        placed = make_placement(elsewhere, shift)
    foreign = {
        "operator": elsewhere.operator.pk,
        "mix": elsewhere.mix.first,
        "placement": placed.first,
        "rig": elsewhere.rig.pk,
        "laboratory": elsewhere.laboratory.pk,
        "part": elsewhere.wall.part.pk,
        "shift": shift.first,
    }
    with nothing_written():
        response = Visitor(worked.inspector).post(
            "shoot_panel", "production", data=_panel(worked, **{field: foreign[field]})
        )
    assert list(complaints(response)) == [field]


def _mock_up(site, **changes):
    sent = {
        "operator": site.operator.pk,
        "mix": site.mix.first,
        "position": "vertical",
        "method": "hand",
        "shot_from": "2026-08-05T10:30",
        "mockup_class": "A",
        "thickness_0": "10", "thickness_1": "in",
    }  # fmt: skip
    return sent | changes


def test_a_mock_up_carries_bars_as_drawn_or_as_typed(worked):
    eye = Visitor(worked.qc)
    drawn = _mock_up(worked, bars_of=worked.wall.first)
    assert eye.post("shoot_panel", "mock-up", data=drawn).status_code == 302
    assert Panel.objects.get(code="MU-02").reinforcement == worked.wall.reinforcement
    typed = _mock_up(
        worked, curtains="2", bar="No. 5", spacing_0="8", spacing_1="in",
        splice="non-contact", splice_clear_0="2", splice_clear_1="in",
    )  # fmt: skip
    assert eye.post("shoot_panel", "mock-up", data=typed).status_code == 302
    bars = Panel.objects.get(code="MU-03").reinforcement
    assert len(bars["mats"]) == 4
    assert bars["splice"] == {"kind": "non-contact", "clear": ["2", "in"]}
    plain = _mock_up(worked, curtains="0")
    assert eye.post("shoot_panel", "mock-up", data=plain).status_code == 302
    assert Panel.objects.get(code="MU-04").reinforcement == {"mats": []}
    assert "No. 5 at 8 in, vertical" in words(eye.get("panel", "MU-03"))


@pytest.mark.parametrize(
    ("changes", "field"),
    [
        ({"curtains": "1"}, "bar"),
        ({"curtains": "1", "bar": "No. 5"}, "spacing"),
        (
            {"curtains": "1", "bar": "No. 5", "spacing_0": "0.5", "spacing_1": "in"},
            "spacing",
        ),
        ({"thickness_0": ""}, "thickness"),
        ({"operator": ""}, "operator"),
        ({"bars_of": "wall", "curtains": "1"}, "curtains"),
    ],
)
def test_bars_that_cannot_be_are_refused_by_field(worked, changes, field):
    if changes.get("bars_of"):
        changes = changes | {"bars_of": worked.wall.first}
    with nothing_written():
        response = Visitor(worked.qc).post(
            "shoot_panel", "mock-up", data=_mock_up(worked, **changes)
        )
    assert field in complaints(response)


def test_cores_from_the_work_stand_for_the_missing_panel_once_accepted(worked):
    eye = Visitor(worked.qc)
    shown = eye.get("shoot_panel", "in-place", placement="PL-001", operator="OP-02")
    relief = worked.extra["relief"].first
    assert f'value="{relief}"' in shown.content.decode()
    sent = {
        "placement": worked.extra["placed"].first,
        "operator": worked.trainee.pk,
        "stands_for": relief,
        "mix": worked.mix.first,
        "position": "vertical",
        "method": "hand",
        "shot_from": "2026-08-04T10:10",
        "laboratory": worked.laboratory.pk,
    }
    response = eye.post("shoot_panel", "in-place", data=sent)
    assert response.url == eye.url("panel", "IP-01")
    assert "proposed in its place" in words(eye.get("panels"))
    assert Visitor(worked.qc).get("accept_substitute", "IP-01").status_code == 403
    engineer = Visitor(worked.engineer)
    assert "Accept in place of the missing panel" in words(
        engineer.get("panel", "IP-01")
    )
    wrong = _decision(worked, password="not mine")
    with nothing_written():
        refused = complaints(engineer.post("accept_substitute", "IP-01", data=wrong))
    assert "This is not your password" in refused["password"][0]
    signed = engineer.post("accept_substitute", "IP-01", data=_decision(worked))
    assert signed.status_code == 302
    ledger = engineer.get("panels").context["ledger"]
    assert [row.answered for row in ledger.missing] == [True]
    assert engineer.get("accept_substitute", "TP-001").status_code == 404


def test_an_unknown_kind_of_panel_is_not_found(worked):
    eye = Visitor(worked.inspector)
    assert eye.get("shoot_panel", "anything").status_code == 404
    for kind in PanelKind:
        slug = kind.value.replace(" ", "-")
        assert eye.get("shoot_panel", slug).status_code == 200


# --- Judging --------------------------------------------------------------------------


def _decision(site, **changes):
    sent = {
        "decided_at": "2026-09-14T08:00",
        "words": "Bars encased at every crossing.",
        "printed_name": site.engineer.user.printed_name,
        "password": PASSWORD,
    }
    return sent | changes


def test_the_engineer_signs_a_decision_with_the_password(worked):
    panel = make_panel(worked, PanelKind.MOCK_UP, shot="2026-08-20 08:30")
    eye = Visitor(worked.engineer)
    assert "Decide on it" in words(eye.get("panel", panel.code))
    sent = _decision(worked, decision="accepted", id=new_id())
    for _ in range(2):  # pressed twice
        assert eye.post("judge_panel", panel.code, data=sent).status_code == 302
    judged = PanelJudgement.objects.get(panel=panel)
    assert judged.signature.printed_name == "Rhoswen Takeda"
    assert Signature.objects.filter(pk=judged.signature_id).count() == 1
    said = words(eye.get("panel", panel.code))
    assert "Bars encased at every crossing." in said
    assert "by Rhoswen Takeda, engineer" in said


@pytest.mark.parametrize(
    ("changes", "field", "said"),
    [
        ({"password": "guess"}, "password", "This is not your password"),
        ({"password": ""}, "password", "required"),
        ({"printed_name": "R. T."}, "printed_name", "Printed name R. T.; allowed is"),
        ({"decision": ""}, "decision", "required"),
        ({"decision": "substitute accepted"}, "decision", "substitute accepted"),
        ({"words": "  "}, "words", "required"),
        ({"decided_at": "2026-09-14T10:00"}, "decided_at", "lies ahead"),
        ({"decided_at": "2026-08-19T10:00"}, "decided_at", "allowed is after"),
    ],
)
def test_a_decision_that_cannot_be_is_refused_and_nothing_is_signed(
    worked, changes, field, said
):
    panel = make_panel(worked, PanelKind.MOCK_UP, shot="2026-08-20 08:30")
    sent = _decision(worked, decision="accepted") | changes
    with nothing_written():
        response = Visitor(worked.engineer).post("judge_panel", panel.code, data=sent)
    assert said in " ".join(complaints(response)[field])
    page = response.content.decode()
    assert PASSWORD not in page  # a password is never sent back
    assert "Bars encased" in page or changes.get("words")


def test_a_decision_is_corrected_with_its_reason(worked):
    panel = Panel.objects.get(job=worked.job, code="MU-01")
    first = PanelJudgement.objects.get(panel=panel)
    eye = Visitor(worked.engineer)
    sent = _decision(worked, decision="rejected", supersedes=first.first)
    assert list(complaints(eye.post("judge_panel", "MU-01", data=sent))) == ["reason"]
    sent["reason"] = "the saw cut was read wrongly"
    assert eye.post("judge_panel", "MU-01", data=sent).status_code == 302
    now = PanelJudgement.objects.known_at(at("2026-09-14 09:30")).get(panel=panel)
    assert (now.decision, now.supersedes) == ("rejected", first)


def test_who_judges_which_kind(worked):
    make_panel(worked, PanelKind.FINISH_SAMPLE, shot="2026-08-20 08:30", operator=None)
    architect = Visitor(worked.members["architect"])
    assert architect.get("judge_panel", "FS-01").status_code == 200
    assert architect.get("judge_panel", "MU-01").status_code == 403
    sent = _decision(worked, decision="accepted", printed_name="Corvin Delacroix")
    assert architect.post("judge_panel", "MU-01", data=sent).status_code == 403
    assert architect.post("judge_panel", "FS-01", data=sent).status_code == 302
    engineer = Visitor(worked.engineer)
    assert engineer.get("judge_panel", "TP-001").status_code == 404
    assert Visitor(worked.inspector).get("judge_panel", "MU-01").status_code == 403


# --- Cores ----------------------------------------------------------------------------


def _cores(*rows, **head):
    sent = {
        "drilled_at": "2026-08-10T09:00",
        "place_unit": "in",
        "diameter_unit": "in",
    }
    for n, row in enumerate(rows):
        sent |= {f"core{n}-{name}": value for name, value in row.items()}
    return sent | head


def _core(number, age, x="8", y="8"):
    return {
        "number": number, "planned_age_days": age, "x": x, "y": y, "diameter": "3",
    }  # fmt: skip


def test_cores_are_drilled_row_by_row_and_an_empty_row_is_none(worked):
    eye = Visitor(worked.inspector)
    shown = eye.get("drill_cores", "TP-001").content.decode()
    assert shown.count('name="core') >= 5 * 6  # the contract asks for 2 + 3 cores
    sent = _cores(_core(1, 7), _core(2, 28, "12", "12"), {"number": 3})
    response = eye.post("drill_cores", "TP-001", data=sent)
    assert response.url == eye.url("panel", "TP-001")
    found = Core.objects.filter(panel=worked.extra["panel"].first).order_by("number")
    assert [(c.number, c.planned_age_days) for c in found] == [(1, 7), (2, 28)]
    assert found[1].x == 12
    assert "Core 1" in words(eye.get("panel", "TP-001"))


def test_rows_sent_after_somebody_else_drilled_are_all_kept(worked):
    """The page was drawn with seven rows; meanwhile core 1 was drilled."""
    make_cores(worked, worked.extra["panel"], ages=(7,))
    rows = [_core(number, 28, "12", "12") for number in range(2, 9)]
    eye = Visitor(worked.inspector)
    assert eye.post("drill_cores", "TP-001", data=_cores(*rows)).status_code == 302
    assert Core.objects.filter(panel=worked.extra["panel"].first).count() == 8


@pytest.mark.parametrize(
    ("rows", "head", "said"),
    [
        ([_core(1, "")], {}, "Needed for a core that was drilled."),
        ([_core(1, 7, x="-2")], {}, "-2; allowed is a number above 0"),
        ([_core(1, 7, x="far")], {}, "far; allowed is a number above 0"),
        ([_core(1, 7), _core(1, 28)], {}, "has a core 1 already"),
        ([{"number": 1}], {}, "No core given"),
        ([_core(1, 7)], {"drilled_at": "2026-08-01T09:00"}, "was shot"),
        ([_core(1, 7)], {"drilled_at": "2026-10-01T09:00"}, "lies ahead"),
        ([_core(1, 7)], {"place_unit": "psi"}, "psi"),
    ],
)
def test_cores_that_cannot_be_are_refused_where_they_stand(worked, rows, head, said):
    with nothing_written():
        response = Visitor(worked.inspector).post(
            "drill_cores", "TP-001", data=_cores(*rows, **head)
        )
    assert response.status_code == 422
    assert said in words(response)
    assert Core.objects.filter(panel=worked.extra["panel"].first).count() == 0


def test_who_may_drill_which_cores(worked):
    assert (
        Visitor(worked.technician).get("drill_own_cores", "TP-001").status_code == 200
    )
    assert Visitor(worked.technician).get("drill_cores", "TP-001").status_code == 403
    other = Visitor(worked.members["other_laboratory"])
    assert other.get("drill_own_cores", "TP-001").status_code == 404
    assert Visitor(worked.other_qc).get("drill_cores", "TP-001").status_code == 404
    assert (
        Visitor(worked.members["owner"]).get("drill_cores", "TP-001").status_code == 403
    )
