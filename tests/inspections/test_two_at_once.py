"""Two people press the same button: one record, and the other is told.

On a database of their own, with real commits and a thread for each hand.
"""

from __future__ import annotations

from collections.abc import Callable
from concurrent.futures import ThreadPoolExecutor
from threading import Barrier
from time import sleep

import pytest
from django.core.exceptions import ValidationError
from django.db import connection

from inspections.actions.deficiencies import open_deficiency
from inspections.actions.moves import make_move
from inspections.actions.reports import add_remark, open_report
from inspections.actions.signing import preview_amendment, sign_report
from inspections.models import (
    DailyReport,
    Deficiency,
    Move,
    Photo,
    Remark,
    ReportVersion,
)
from inspections.queries.content import content_now
from project import clock
from project.audit import verify_stream
from project.audit.act import _fair_turn
from project.domain.canonical import sha256_of
from project.models import AuditEvent, new_id
from project.queries.jobs import now_on
from tests.inspections.hands import photograph, remark, sign
from tests.inspections.test_amending import amendment
from tests.inspections.wall import Wall, at, build_wall

HANDS = 4


def at_once(*hands: Callable[[], object]) -> list[object]:
    """Run each hand in a thread of its own; return what it got, or its refusal."""
    barrier = Barrier(len(hands))

    def run(hand: Callable[[], object]) -> object:
        try:
            barrier.wait(timeout=20)
            with clock.set_to(at("15:00")):
                return hand()
        except ValidationError as refused:
            return refused
        finally:
            connection.close()

    with ThreadPoolExecutor(max_workers=len(hands)) as pool:
        return list(pool.map(run, hands))


def told(outcomes: list[object]) -> list[ValidationError]:
    return [one for one in outcomes if isinstance(one, ValidationError)]


@pytest.fixture
def wall(fresh_db) -> Wall:
    return build_wall()


def sound(wall: Wall) -> None:
    assert verify_stream(wall.job.stream) is None


def test_two_signatures_at_once_make_one_version(wall):
    with clock.set_to(at("15:00")):
        digest = sha256_of(content_now(wall.report, known_at=now_on(wall.job)))
        proof = wall.proof(wall.inspector)
    name = wall.inspector.user.printed_name

    def hand():
        return sign_report(
            id=new_id(),
            by=wall.inspector,
            report=wall.report,
            content_sha256=digest,
            conforming=True,
            printed_name=name,
            meaning="I was present and recorded what I saw",
            statement="",
            proof=proof,
        )

    outcomes = at_once(*[hand] * HANDS)
    refusals = told(outcomes)
    assert len(refusals) == HANDS - 1
    assert all(f"was signed by {name}" in str(one) for one in refusals)
    assert (ReportVersion.objects.count(), Move.objects.count()) == (1, 1)
    sound(wall)


def test_two_moves_at_once_let_one_through(wall):
    with clock.set_to(at("15:00")):
        deficiency = open_deficiency(
            id=new_id(),
            by=wall.inspector,
            item="place-overspray",
            seen_at=at("09:00"),
            report=wall.report,
            part=wall.part,
        )

    def hand_of(member):
        return lambda: make_move(
            id=new_id(),
            by=member,
            subject=deficiency,
            move="correct",
            words="Washed.",
            evidence={"corrected_by": "Ngozi Eberechi"},
            after=0,
        )

    outcomes = at_once(hand_of(wall.inspector), hand_of(wall.associate))
    (refusal,) = told(outcomes)
    assert "moved meanwhile" in str(refusal)
    assert Move.objects.get().n == 1
    sound(wall)


def test_sheets_opened_at_once_are_one_a_person_and_numbered_without_gaps(wall):
    people = (wall.associate, wall.other_associate, wall.qc)
    hands = [
        lambda by=by: open_report(id=new_id(), by=by, shift=wall.shift)
        for by in people * 2
    ]
    assert told(at_once(*hands)) == []
    numbers = DailyReport.objects.values_list("number", flat=True)
    assert sorted(numbers) == [1, 2, 3, 4]
    sound(wall)


def test_one_request_sent_by_two_tablets_at_once_is_one_row_and_one_line(wall):
    lines = AuditEvent.objects.filter(stream=wall.job.stream)
    before, id = lines.count(), new_id()

    def hand():
        return add_remark(
            id=id,
            by=wall.inspector,
            report=wall.report,
            kind="note",
            words="Owner on site.",
            at=at("09:00"),
        )

    outcomes = at_once(*[hand] * HANDS)
    assert told(outcomes) == []
    assert {row.pk for row in outcomes} == {id}
    assert Remark.objects.count() == 1
    assert lines.count() == before + 1
    sound(wall)


def test_deficiencies_opened_at_once_keep_the_row_of_numbers(wall):
    def hand():
        return open_deficiency(
            id=new_id(),
            by=wall.inspector,
            item="place-overspray",
            seen_at=at("09:00"),
            report=wall.report,
        )

    assert told(at_once(*[hand] * HANDS)) == []
    numbers = Deficiency.objects.values_list("number", flat=True)
    assert sorted(numbers) == list(range(1, HANDS + 1))
    sound(wall)


def test_one_photograph_sent_by_two_tablets_at_once_is_one(wall, settings, tmp_path):
    settings.MEDIA_ROOT = tmp_path
    id = new_id()
    outcomes = at_once(*[lambda: photograph(wall, id=id)] * 2)
    assert {row.pk for row in outcomes} == {id}
    assert Photo.objects.get().number == 1
    sound(wall)


def test_a_preview_waits_its_turn_before_it_holds_the_database(wall):
    """Locked the other way round, the one hand would wait for the other for ever."""
    with clock.set_to(at("15:00")):
        sign(wall)

    def preview():
        try:
            with clock.set_to(at("15:01")):
                facts = amendment(wall, lambda: remark(wall))
                return preview_amendment(**facts)
        finally:
            connection.close()

    with ThreadPoolExecutor(max_workers=1) as pool:
        with _fair_turn():
            other = pool.submit(preview)
            sleep(0.5)  # long enough to have begun, were it let
            with clock.set_to(at("15:00")):
                open_deficiency(
                    id=new_id(),
                    by=wall.inspector,
                    item="place-overspray",
                    seen_at=at("09:00"),
                    part=wall.part,
                )
        content, _digest = other.result(timeout=30)
    assert len(content["remarks"]) == 1
    assert (Deficiency.objects.count(), Remark.objects.count()) == (1, 0)
    sound(wall)
