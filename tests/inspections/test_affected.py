"""What later knowledge turned, who was told, and what answers it."""

from __future__ import annotations

from datetime import date

from crews.actions.corrections import correct
from crews.actions.laboratory import amend_lab_report
from crews.actions.nozzle import take_nozzle
from crews.actions.people import suspend_operator
from crews.domain.trade_words import DecisionOutcome
from crews.models import (
    Eligibility,
    NozzleTime,
    Panel,
    VisualRating,
)
from inspections.queries.affected import BEGINNING, affected_by, affected_work
from inspections.queries.changes import Deed
from project import clock
from project.audit import act
from project.domain.verdict import State
from project.models import new_id
from project.queries.jobs import now_on
from tests.factories import (
    make_cores,
    make_judgement,
    make_panel,
    report,
    result,
    with_mock_up,
)
from tests.inspections.hands import correct_card, raise_one, shot
from tests.inspections.wall import DAY, at

LATER = "2026-08-18 09:00"


def lines(wall, since=BEGINNING, member=None):
    return affected_work(
        wall.job, since=since, until=now_on(wall.job), for_member=member
    )


def test_a_corrected_card_turns_what_was_shot_and_names_the_gate(qualified):
    held = shot(qualified)
    panel = make_panel(qualified.site, shot=f"{DAY} 08:00", shift=qualified.shift)
    frozen = list(Eligibility.objects.values_list("pk", "state"))
    row = correct_card(qualified)
    with clock.set_to(at("2026-08-18 10:00")):
        (line,) = lines(qualified)
        assert affected_by(row, job=qualified.job, until=now_on(qualified.job)) == (
            line,
        )
        assert lines(qualified, since=line.found_at) == ()
    assert (line.found_at, line.fact.row) == (at(LATER), row)
    assert (line.fact.deed, line.fact.reason) == (Deed.CORRECTED, "year mistyped")
    (turned,) = line.turned
    assert turned.held.id == held.first
    assert (turned.before.state, turned.after.state) == (State.PASS, State.FAIL)
    assert [gate.key for gate in turned.gates] == ["card"]
    assert line.panels == (panel.code,)
    assert line.parts == (qualified.part.code,)
    assert not line.answered
    assert list(Eligibility.objects.values_list("pk", "state")) == frozen


def test_a_correction_that_changes_no_conclusion_is_no_line(qualified):
    shot(qualified)
    correct_card(qualified, ends=date(2029, 1, 1))
    with clock.set_to(at("2026-08-18 10:00")):
        assert lines(qualified) == ()


def test_a_renewal_entered_late_turns_it_back_and_asks_for_nothing(qualified):
    correct_card(qualified, when=f"{DAY} 06:50")
    shot(qualified)
    correct_card(qualified, ends=date(2028, 3, 14))
    with clock.set_to(at("2026-08-18 10:00")):
        (line,) = lines(qualified)
    assert line.turned[0].after.state is State.PASS
    assert (line.refused, line.answered, line.to_raise) == (False, True, ())


def test_a_suspension_dated_back_turns_what_was_shot_meanwhile(qualified):
    shot(qualified)
    with clock.set_to(at(LATER)):
        suspend_operator(
            id=new_id(),
            by=qualified.qc,
            operator=qualified.operator,
            from_at=at(f"{DAY} 07:00"),
            until_at=None,
            ordered_by="the engineer",
            words="seen to bury rebound",
        )
        (line,) = lines(qualified)
    assert line.fact.deed is Deed.LATE
    assert [gate.key for gate in line.turned[0].gates] == ["suspension"]


def test_a_mock_up_rejected_later_lists_each_of_its_placements(qualified):
    first, second = shot(qualified), shot(qualified, "10:00", "11:00")
    panel = Panel.objects.get(panel_kind="mock-up")
    judgement = make_judgement(
        qualified.site, panel, LATER, DecisionOutcome.REJECTED, words="Voids."
    )
    with clock.set_to(at("2026-08-18 10:00")):
        (line,) = lines(qualified)
    assert line.fact.row == judgement
    assert [one.held.id for one in line.turned] == [first.first, second.first]


def test_a_nozzle_time_whose_operator_is_corrected_turns_itself(qualified):
    held = shot(qualified)
    with clock.set_to(at(LATER)):
        made = correct(
            id=new_id(),
            by=qualified.inspector,
            row=held,
            reason="the other man's name",
            operator=qualified.second,
        )
        (line,) = lines(qualified)
    assert line.fact.row == made
    (column,) = line.fact.columns
    assert column.label == "operator"
    assert column.before != column.after
    assert line.turned[0].after.state is State.FAIL


def test_what_a_tablet_did_not_know_turns_when_its_take_arrives(qualified):
    correct_card(qualified, when=f"{DAY} 07:30")
    with clock.set_to(at(f"{DAY} 12:00")):
        taken, frozen = take_nozzle(
            id=new_id(),
            by=qualified.inspector,
            placement=qualified.placement,
            operator=qualified.operator,
            at=at(f"{DAY} 08:00"),
            known_at=at(f"{DAY} 06:50"),
            shown_state={"state": "pass", "kit": "tablet 2"},
        )
        assert frozen.state == "pass"
        (line,) = lines(qualified, since=at(f"{DAY} 11:00"))
    assert line.found_at == taken.recorded_at
    assert line.fact.at == at(f"{DAY} 07:30")
    assert line.turned[0].after.state is State.FAIL


def _reported(wall, strengths, number="HP-1182", when="2026-09-08 14:05"):
    panel = make_panel(wall.site, shot=f"{DAY} 08:00", shift=wall.shift)
    cores = make_cores(wall.site, panel, drilled="2026-08-18 09:00")[2:]
    return panel, cores, report(wall.site, number, when, _results(cores, strengths))


def _results(cores, strengths):
    return [
        result(core, "2026-09-08 10:00", strength)
        for core, strength in zip(cores, strengths, strict=True)
    ]


def test_a_corrected_laboratory_report_lists_what_its_panel_stands_for(qualified):
    """f_c 4500 psi: each core at least 0.75, the mean at least 0.85 of it
    (IBC 2018, 1908.10.3; from memory)."""
    held = shot(qualified)
    panel, cores, letter = _reported(qualified, ("5000", "5100", "5200"))
    with clock.set_to(at("2026-09-08 15:00")):
        assert lines(qualified) == ()  # a first result that holds turns nothing
    with clock.set_to(at("2026-09-10 09:00")):
        amended = amend_lab_report(
            id=new_id(),
            by=qualified.site.technician,
            report=letter,
            reason="breaking loads read off the wrong scale",
            results=_results(cores, ("3300", "3920", "3790")),
        )
        (line,) = lines(qualified)
        own = lines(qualified, member=qualified.qc)
        assert lines(qualified, member=qualified.other_qc) == ()
    assert line.fact.row == amended
    assert line.nozzle_times == own[0].nozzle_times
    (result_line,) = line.results
    assert result_line.panel.code == panel.code
    states = (result_line.before.state, result_line.after.state)
    assert states == (State.PASS, State.FAIL)
    assert [held_.id for _placed, held_ in line.times] == [held.first]


def test_faces_rated_again_turn_what_their_panel_stands_for(qualified):
    shot(qualified)
    panel = make_panel(qualified.site, shot=f"{DAY} 08:00", shift=qualified.shift)
    said = {"job": qualified.job, "panel_id": panel.first, "cores": [1, 2]}
    ratings = []
    for when, decision in (
        ("2026-09-08 15:00", "acceptable"),
        ("2026-09-09 15:00", "not acceptable"),
    ):
        with (
            clock.set_to(at(when)),
            act(on=qualified.job, by=qualified.engineer, verb="panel.rated") as deed,
        ):
            row = VisualRating(
                id=new_id(), rated_at=at(when), decision=decision, **said
            )
            ratings.append(
                deed.supersede(ratings[-1], row, reason="seen under light")
                if ratings
                else deed.add(row)
            )
    with clock.set_to(at("2026-09-09 16:00")):
        (line,) = lines(qualified)
    assert line.fact.row == ratings[-1]
    assert line.results[0].after.state is State.FAIL
    assert line.panels == (panel.code,)


def test_faces_seen_before_a_take_and_told_after_it_turn_who_might_shoot(qualified):
    before, after = shot(qualified, "07:10", "09:30"), shot(qualified, "10:00", "11:00")
    panel = make_panel(qualified.site, shot=f"{DAY} 08:00", shift=qualified.shift)
    with (
        clock.set_to(at("2026-08-18 09:00")),
        act(on=qualified.job, by=qualified.engineer, verb="cores.rated") as deed,
    ):
        deed.add(
            VisualRating(
                id=new_id(),
                job=qualified.job,
                panel_id=panel.first,
                cores=[1, 2, 3],
                rated_at=at("09:45"),
                decision="not acceptable",
                words="Sand behind the bars.",
            )
        )
    with clock.set_to(at("2026-08-18 10:00")):
        (line,) = lines(qualified)
    assert [one.held.id for one in line.turned] == [after.first] != [before.first]
    (turned,) = line.turned
    assert (turned.before.state, turned.after.state) == (State.PASS, State.FAIL)
    assert [gate.key for gate in turned.gates] == ["mock-up"]


def test_a_report_raised_since_answers_it_and_one_from_before_does_not(qualified):
    held = shot(qualified)
    raise_one(qualified, held, part=qualified.part)
    correct_card(qualified)
    with clock.set_to(at("2026-08-18 10:00")):
        assert not lines(qualified)[0].answered
        raised = raise_one(qualified, held, written_at=at("2026-08-18 09:50"))
        (line,) = lines(qualified)
    assert (line.answered, line.reports) == (True, (raised,))


def test_a_packet_that_told_of_it_is_named_until_it_is_revised(qualified, desk):
    shot(qualified, "12:00", "12:30")
    with clock.set_to(at("2026-08-17 09:00")):
        packet = desk.whole().packet
    correct_card(qualified)
    with clock.set_to(at("2026-08-18 10:00")):
        (line,) = lines(qualified)
        assert [(p.row, p.revised) for p in line.packets] == [(packet, None)]
        assert line.unrevised
        revised = desk.whole(reason="a card was corrected").packet
        (line,) = lines(qualified)
    assert [(p.row, p.revised) for p in line.packets] == [(packet, revised)]
    assert line.answered


def test_a_superseded_version_that_a_packet_told_is_a_line_without_a_turn(desk):
    wall = desk.wall
    with_mock_up(wall.site)
    held = shot(wall, "12:00", "12:30")
    with clock.set_to(at("2026-08-17 09:00")):
        packet = desk.whole().packet
    with clock.set_to(at(LATER)):
        correct(
            id=new_id(),
            by=wall.inspector,
            row=held,
            reason="watch was slow",
            stopped_at=at(f"{DAY} 12:40"),
        )
        (line,) = lines(wall)
        assert lines(wall, member=wall.qc) == (line,)
        assert lines(wall, member=wall.other_qc) == ()
    assert (line.judged, [p.row for p in line.packets]) == ((), [packet])
    assert not line.answered


def test_the_first_version_of_a_nozzle_time_turns_nothing(qualified):
    shot(qualified)
    with clock.set_to(at("2026-08-18 10:00")):
        assert lines(qualified) == ()
        assert NozzleTime.objects.count() == 1
