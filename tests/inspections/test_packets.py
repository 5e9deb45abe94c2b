"""The packet from preparing to a revision: who may, what is kept, what changes nothing."""

from __future__ import annotations

import json
from datetime import date, datetime
from hashlib import sha256
from typing import Any

import pytest
from django.core.exceptions import PermissionDenied, ValidationError
from django.db import connection
from django.test.utils import CaptureQueriesContext

from crews.actions.shooting import close_shift
from inspections.actions import packets as acts
from inspections.models import Move, Packet, PacketRecord
from inspections.packet.gathering import Hands, gather, reading_of
from inspections.queries.packets import packet_rows
from project import clock
from project.actions.files import DamagedFile, kept_path
from project.models import AuditEvent, new_id
from project.queries.jobs import now_on
from tests.inspections.desk import MONDAY, ON, Desk
from tests.inspections.hands import (
    find,
    photograph,
    raise_one,
    review,
)
from tests.inspections.wall import at
from tests.support.hostile import jpeg


def refused(error: pytest.ExceptionInfo[ValidationError]) -> dict[str, list[str]]:
    return error.value.message_dict


@pytest.mark.usefixtures("sound")
def test_it_goes_through_two_hands_and_is_kept_by_its_hash(desk, lines):
    before = lines()
    packet = desk.prepare()
    assert (packet.number, packet.revision, packet.file_sha256) == (1, 0, "")
    assert (packet.from_on, packet.to_on) == (date(2026, 8, 10), date(2026, 8, 16))
    desk.review(packet)
    with clock.set_to(at("2026-08-17 09:00")):
        issued = desk.issue(packet)
    assert (issued.new, lines()) == (True, before + 3)
    kept = Packet.objects.get(pk=packet.pk)
    data = acts.issued_file(kept)
    assert sha256(data).hexdigest() == kept.file_sha256  # FIPS 180-4, by hashlib
    assert (len(data), data[:5]) == (kept.file_bytes, b"%PDF-")
    move = Move.objects.get(packet=packet, move="issue")
    assert (move.state, move.evidence) == ("issued", {"file_sha256": kept.file_sha256})
    hands = desk.snapshot(kept)["hands"]
    assert [(hand["name"], hand["at"]["local"][11:16]) for hand in hands] == [
        ("Ottilie Varga", "08:15"),
        ("Solveig Marchetti", "08:15"),
        ("Solveig Marchetti", "09:00"),
    ]


def test_its_records_are_kept_with_the_hash_of_what_they_said(desk):
    packet = desk.whole().packet
    kinds = set(packet.records.values_list("record_kind", flat=True))
    assert {"shift", "placement", "load", "reportversion", "termsrevision"} <= kinds
    listed = desk.snapshot(packet)["records"]
    assert len(listed) == PacketRecord.objects.filter(packet=packet).count()


def test_signed_and_not_reviewed_is_in_and_listed(desk):
    snapshot = desk.snapshot(desk.whole().packet)
    assert [row["number"] for row in snapshot["sections"]["reports"]] == ["DFR-001"]
    assert snapshot["missing"][0]["why"].startswith("signed, not yet reviewed")


def test_a_week_without_reports_makes_a_packet_that_says_so(wall, files):
    with clock.set_to(at(MONDAY)):
        packet = Desk(wall).whole().packet
    snapshot = Desk(wall).snapshot(packet)
    assert snapshot["sections"]["reports"] == []
    assert [row["why"] for row in snapshot["missing"]] == ["not signed by the cut"]
    assert snapshot["verdict"]["stamp"] == "not all in order"


def test_a_quiet_week_says_that_no_shift_was_worked(desk):
    with clock.set_to(at("2026-08-24 08:00")):
        packet = desk.prepare(day=date(2026, 8, 19))
        desk.review(packet)
        snapshot = desk.snapshot(desk.issue(packet).packet)
    assert snapshot["sentence"].startswith("No shift was worked this week.")
    assert snapshot["summary"]["news"] == []


def test_what_is_recorded_after_the_cut_changes_no_byte(desk):
    """A nozzle closed, a truck finished, a sheet reviewed, a report raised: all later."""
    wall, packet = desk.wall, desk.prepare()

    def told():
        reading = reading_of(
            wall.job,
            wall.inspector,
            first=packet.from_on,
            last=packet.to_on,
            known_at=packet.cut_at,
        )
        hands = Hands(prepared=(packet.recorded_by, packet.recorded_at))
        return gather(reading, number=1, revision=0, hands=hands).snapshot

    before = told()
    with clock.set_to(at("2026-08-18 09:00")):
        close_shift(by=wall.inspector, shift=wall.shift, stops_at=at("15:30"))
        review(wall)
        raise_one(wall, desk.load)
        assert told() == before


def test_the_reading_asks_as_often_for_many_rows_as_for_few(desk):
    def asked() -> int:
        wall = desk.wall
        first, last, cut = date(2026, 8, 10), date(2026, 8, 16), now_on(desk.wall.job)
        with CaptureQueriesContext(connection) as counted:
            reading = reading_of(
                wall.job, wall.inspector, first=first, last=last, known_at=cut
            )
            gather(
                reading,
                number=2,
                revision=0,
                hands=Hands(prepared=(wall.inspector, cut)),
            )
        return len(counted)

    def more(n: int) -> None:
        when = at(f"2026-08-15 1{n}:00")
        find(desk.wall, seen_at=when, report=None)
        raise_one(desk.wall, desk.load, written_at=when)
        photograph(desk.wall, report=None, at=when, raw=jpeg(quality=80 + n))

    more(0)
    few = asked()
    for n in range(1, 4):
        more(n)
    assert asked() == few


# --- Who may, and in which order -----------------------------------------------------


def test_only_the_agency_prepares_and_only_another_person_reviews(desk):
    wall = desk.wall
    for member in (wall.qc, wall.owner, wall.engineer):
        with pytest.raises(PermissionDenied):
            desk.prepare(by=member)
    packet = desk.prepare(by=wall.reviewer)
    with pytest.raises(ValidationError) as error:
        desk.review(packet)
    assert refused(error)["by"] == [
        "PK-01 revision 0 was prepared by Solveig Marchetti;"
        " allowed is a second person of the agency."
    ]
    with pytest.raises(PermissionDenied):
        desk.review(packet, by=wall.inspector)
    assert not Move.objects.filter(packet=packet).exists()


def test_it_is_issued_only_after_its_review(desk):
    packet = desk.prepare()
    with pytest.raises(ValidationError, match="not reviewed yet"):
        desk.issue(packet)
    with pytest.raises(PermissionDenied):
        desk.issue(packet, by=desk.wall.inspector)
    assert Packet.objects.get().file_sha256 == ""


def test_an_old_password_reviews_nothing(desk):
    packet = desk.prepare()
    old = desk.wall.proof(desk.wall.reviewer)
    with (
        clock.set_to(at("2026-08-17 12:00")),
        pytest.raises(ValidationError, match="again"),
    ):
        desk.review(packet, proof=old)
    with pytest.raises(ValidationError) as error:
        desk.review(packet, printed_name="S. M.")
    assert "printed_name" in refused(error)


def test_a_draft_is_unseen_outside_the_agency(desk):
    wall = desk.wall
    desk.prepare()

    def seen(member: Any) -> list[str]:
        rows = packet_rows(wall.job, member, known_at=now_on(wall.job))
        return [row.state for row in rows]

    assert seen(wall.inspector) == seen(wall.reviewer) == ["prepared"]
    assert seen(wall.owner) == seen(wall.qc) == seen(wall.engineer) == []
    desk.whole()
    assert seen(wall.owner) == seen(wall.qc) == ["issued"]


# --- Weeks that cannot be, and pressing twice ---------------------------------------


@pytest.mark.parametrize(
    ("day", "said"),
    [
        (date(2026, 8, 17), "2026-08-23 is not over"),
        (date(2031, 1, 1), "2031-01-05 is not over"),
        (date(2025, 8, 11), "lies before the contract's terms"),
    ],
)
def test_a_week_that_cannot_be_told_of_is_refused(desk, lines, day, said):
    before = lines()
    with pytest.raises(ValidationError) as error:
        desk.prepare(day=day)
    assert said in refused(error)["day"][0]
    assert (Packet.objects.count(), lines()) == (0, before)


def test_pressed_twice_is_one_and_a_second_hand_is_told(desk, lines):
    id = new_id()
    packet, before = desk.prepare(id=id), lines()
    assert desk.prepare(id=id) == packet
    with pytest.raises(ValidationError, match="prepared and not issued"):
        desk.prepare(day=date(2026, 8, 16))
    assert (Packet.objects.count(), lines()) == (1, before)
    desk.review(packet)
    with pytest.raises(ValidationError) as error:
        desk.review(packet)
    assert "review from reviewed" in json.dumps(refused(error))
    assert desk.issue(packet).new
    assert not desk.issue(packet).new
    assert Move.objects.filter(packet=packet).count() == 2


# --- A week already issued ------------------------------------------------------------


def test_an_issued_week_is_given_again_and_says_how_much_changed(desk):
    first = desk.whole()
    again = acts.issue_week(
        id=new_id(), job=desk.wall.job, day=ON, preparer=None, reviewer=None
    )
    assert (again.packet, again.new, again.changed) == (first.packet, False, 0)
    with clock.set_to(at("2026-08-18 09:00")):
        close_shift(by=desk.wall.inspector, shift=desk.wall.shift, stops_at=at("15:30"))
        raise_one(desk.wall, desk.load)
        again = acts.issue_week(
            id=new_id(), job=desk.wall.job, day=ON, preparer=None, reviewer=None
        )
    assert (again.new, again.changed) == (False, 2)  # the shift's end, the report
    assert Packet.objects.count() == 1


@pytest.mark.usefixtures("sound")
def test_a_revision_names_its_reason_and_what_changed_and_leaves_the_first(desk):
    first = desk.whole().packet
    kept = acts.issued_file(first)
    with clock.set_to(at("2026-08-18 09:00")):
        with pytest.raises(ValidationError) as error:
            desk.prepare()
        assert "needs a reason" in refused(error)["reason"][0]
        raise_one(desk.wall, desk.load)
        second = desk.whole("the report on the load was raised late").packet
    assert (second.number, second.revision) == (1, 1)
    assert second.reason == "the report on the load was raised late"
    snapshot = desk.snapshot(second)
    assert snapshot["packet"]["supersedes"] == "revision 0"
    assert [row["record"] for row in snapshot["changes"]] == [
        "nonconformance report NCR-001"
    ]
    assert acts.issued_file(first) == kept
    last = Move.objects.filter(packet=first).order_by("n").last()
    assert (last.state, last.evidence["reason"]) == ("superseded", second.reason)


def test_numbers_run_in_the_order_of_preparing(desk):
    with clock.set_to(at("2026-08-31 08:00")):
        numbers = [desk.prepare(day=date(2026, 8, day)).number for day in (20, 11, 27)]
    assert numbers == [1, 2, 3]


def test_an_issued_row_cannot_be_changed(desk):
    packet = desk.whole().packet
    with pytest.raises(Exception, match="written once") as error:
        Packet.objects.filter(pk=packet.pk).update(file_sha256="0" * 64)
    assert "inspections_packet" in str(error.value)


def test_a_file_altered_on_the_disk_is_not_given_out(desk):
    packet = desk.whole().packet
    path = kept_path(acts.store(), packet.file_sha256, suffix=".pdf")
    path.write_bytes(path.read_bytes()[:-1] + b"!")
    with pytest.raises(DamagedFile, match="changed on the disk"):
        acts.issued_file(packet)


def test_the_audit_head_on_it_is_the_trails_at_the_cut(desk):
    cut: dict[str, Any] = desk.snapshot(desk.whole().packet)["cut"]
    instant = datetime.fromisoformat(cut["at"]["utc"])
    line = (
        AuditEvent.objects.filter(stream=desk.wall.job.stream, at__lte=instant)
        .order_by("seq")
        .last()
    )
    assert (cut["seq"], cut["head"]) == (line.seq, line.hash)
