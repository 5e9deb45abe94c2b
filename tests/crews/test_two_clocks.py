"""What was known when: the query against a plain replay, and once-columns."""

from __future__ import annotations

import random
from datetime import date, datetime, timedelta

import pytest
from django.db import IntegrityError, InternalError, connection, transaction

from crews.actions.people import record_certification, withdraw_certification
from crews.models import Certification, NozzleTime, Panel
from crews.queries.operator_files import people_on
from crews.queries.qualification import operator_standing
from crews.queries.shooting import rosters, shooting
from project import clock
from project.domain.clocks import known
from project.domain.verdict import State
from project.models import new_id
from tests.factories import (
    at,
    card,
    clock_at,
    make_card,
    make_panel,
    make_placement,
    make_shift,
    shoot,
)
from tests.support.made_once import made_once

REFUSED = (IntegrityError, InternalError)


def _history(site, seed: int) -> list[tuple[datetime, dict[str, str]]]:
    """Enter, correct and withdraw cards at random; return each state of the record.

    The oracle: after every act, what is on record by card number, kept by hand and
    never asked of the database.
    """
    chance = random.Random(seed)
    now = at("2026-07-18 08:00")
    standing: dict[str, Certification] = {}
    kept: list[tuple[datetime, dict[str, str]]] = []
    for step in range(24):
        now += timedelta(minutes=chance.randint(1, 90))
        deed = chance.choice(("enter", "correct", "correct", "withdraw"))
        with clock.set_to(now):
            if deed == "enter" or not standing:
                entry = card(number=f"N-{step}", expires_on=date(2027, 1, 1))
                standing[entry.number] = make_card(site.qc, site.operator, entry)
            else:
                number = chance.choice(sorted(standing))
                if deed == "withdraw":
                    withdraw_certification(
                        id=new_id(),
                        by=site.qc,
                        card=standing.pop(number),
                        reason="not this person's",
                    )
                else:
                    ends = date(2027, 1, 1) + timedelta(days=step)
                    standing[number] = record_certification(
                        id=new_id(),
                        by=site.qc,
                        operator=site.operator,
                        card=card(number=number, expires_on=ends),
                        supersedes=standing[number],
                        reason="read again",
                    )
        state = {n: str(c.expires_on) for n, c in standing.items()}
        kept.append((now, state))
    return kept


@pytest.mark.parametrize("seed", range(6))
def test_known_at_agrees_with_a_replay_at_every_instant(site, seed):
    history = _history(site, seed)
    rows = list(Certification.objects.filter(operator=site.operator))
    chance = random.Random(seed)
    instants = [when for when, _ in history]
    instants += [
        history[0][0] + timedelta(minutes=chance.randint(-60, 3000)) for _ in range(20)
    ]
    files = people_on(site.job, operators=[site.operator])[0].file
    for instant in instants:
        told = next((s for when, s in reversed(history) if when <= instant), {})
        in_sql = Certification.objects.known_at(instant).filter(operator=site.operator)
        by_query = {c.number: str(c.expires_on) for c in in_sql if c.number[:2] == "N-"}
        facts = known([row.facts() for row in rows], at=instant)
        by_twin = {c.number: str(c.expires_on) for c in facts if c.number[:2] == "N-"}
        in_file = files.known_at(instant).cards
        by_file = {c.number: str(c.expires_on) for c in in_file if c.number[:2] == "N-"}
        assert by_query == by_twin == by_file == told


def test_a_correction_changes_the_answer_from_its_own_instant_on(qualified):
    """The mistyped year: qualified as known before 10:20, not as known from then on."""
    site = qualified
    with clock_at("2026-08-10 08:00"):
        old = Certification.objects.get(operator=site.operator)
        wrong = record_certification(
            id=new_id(),
            by=site.qc,
            operator=site.operator,
            card=card(expires_on=date(2027, 8, 19)),
            supersedes=old,
            reason="renewed",
        )
    with clock_at("2026-08-24 10:20"):
        record_certification(
            id=new_id(),
            by=site.inspector,
            operator=site.operator,
            card=card(expires_on=date(2026, 8, 19)),
            supersedes=wrong,
            reason="year mistyped",
        )
    asked = {
        "job": site.job,
        "operator": site.operator,
        "part": site.wall.part,
        "start": at("2026-08-20 07:00"),
        "rig": site.rig,
    }
    answers = {
        when: operator_standing(known_at=at(when), **asked)
        for when in ("2026-08-20 07:00", "2026-08-24 10:19", "2026-08-24 10:20")
    }
    assert [answer.state for answer in answers.values()] == [
        State.PASS,
        State.PASS,
        State.FAIL,
    ]
    assert [r.key for r in answers["2026-08-24 10:20"].failed] == ["card"]
    last_day = asked | {"start": at("2026-08-19 07:00")}
    known_now = at("2026-09-14 07:30")
    assert operator_standing(known_at=known_now, **last_day).state is State.PASS


@made_once
def shot(qualified):
    with clock_at("2026-08-04 06:50"):
        shift = make_shift(qualified.inspector, qualified.contractor)
        placed = make_placement(qualified, shift)
    shoot(qualified, placed, qualified.operator, "2026-08-04 07:10", "2026-08-04 11:40")
    make_panel(qualified, shift=shift, placement=placed)
    return qualified


def test_a_stop_is_unknown_before_it_was_recorded(shot):
    def held(when):
        placed = shooting(shot.job, known_at=at(when))
        return [one for row in placed for one in row.times]

    assert held("2026-08-04 07:09") == []
    running = held("2026-08-04 11:00")[0]
    assert (running.stopped_at, running.minutes, running.whole) == (None, None, None)
    assert running.neat.words == "still on the nozzle"
    left = held("2026-08-04 11:41")[0]
    assert (left.minutes, str(left.neat.volume)) == (270, "12.9012 yd3")
    assert left.frozen is left.whole


def test_a_roster_is_read_as_known_at_one_instant(shot):
    early = rosters(shot.job, known_at=at("2026-08-04 06:49"))
    later = rosters(shot.job, known_at=at("2026-08-04 06:51"))
    assert early == ()
    assert [len(one.placements) for one in later] == [1]
    assert later[0].held == ()


def _refuses(statement: str, *values: object) -> None:
    with (
        pytest.raises(REFUSED, match="written once"),
        transaction.atomic(),
        connection.cursor() as cursor,
    ):
        cursor.execute(statement, values)


def test_a_stop_is_filled_once_and_then_stays(shot):
    held = NozzleTime.objects.get()
    with pytest.raises(REFUSED), transaction.atomic():
        NozzleTime.objects.update(stopped_at=held.stopped_at + timedelta(minutes=1))
    with pytest.raises(REFUSED), transaction.atomic():
        NozzleTime.objects.update(stopped_at=None)
    with pytest.raises(REFUSED), transaction.atomic():
        NozzleTime.objects.update(started_at=held.started_at - timedelta(minutes=1))
    assert NozzleTime.objects.get() == held


@pytest.mark.parametrize(
    "table",
    [
        "crews_certification",
        "crews_enrolment",
        "crews_shift",
        "crews_placement",
        "crews_nozzletime",
        "crews_eligibility",
        "crews_panel",
        "crews_paneljudgement",
    ],
)
def test_rows_of_the_crew_can_be_neither_changed_nor_deleted(shot, table):
    _refuses(f"DELETE FROM {table}")
    if table != "crews_eligibility":
        _refuses(f"UPDATE {table} SET withdrawn = %s", True)
    else:
        _refuses(f"UPDATE {table} SET state = 'pass', as_of = recorded_at")


def test_a_row_cannot_be_replaced_by_one_of_the_same_identity_or_code(shot):
    if connection.vendor != "sqlite":
        # There is no REPLACE there, and the nearest thing meets the same trigger.
        _refuses(
            "INSERT INTO crews_panel SELECT * FROM crews_panel "
            "ON CONFLICT (id) DO UPDATE SET code = 'TP-999'"
        )
        return
    panel = Panel.objects.get(code="TP-001")
    columns = [f.column for f in Panel._meta.concrete_fields]
    listed = ", ".join(f'"{c}"' for c in columns)
    same = ", ".join("'TP-999'" if c == "code" else f'"{c}"' for c in columns)
    _refuses(
        f"INSERT OR REPLACE INTO crews_panel ({listed}) "
        f"SELECT {same} FROM crews_panel WHERE code = 'TP-001'"
    )
    fresh = new_id().hex
    same_code = ", ".join(
        f"'{fresh}'" if c in ("id", "first") else f'"{c}"' for c in columns
    )
    _refuses(
        f"INSERT OR REPLACE INTO crews_panel ({listed}) "
        f"SELECT {same_code} FROM crews_panel WHERE code = 'TP-001'"
    )
    assert Panel.objects.get(code="TP-001") == panel
