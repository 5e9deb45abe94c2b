"""The pages of packets, as each member reads and sends them."""

from __future__ import annotations

from hashlib import sha256

import pytest

from inspections.actions import packets as acts
from inspections.models import Move, Packet
from project import clock
from project.actions.files import kept_path
from project.models import new_id
from tests.crews.acts import nothing_written
from tests.crews.pages import Visitor, complaints, words
from tests.factories import PASSWORD
from tests.inspections.hands import raise_one
from tests.inspections.wall import at

NOW = "2026-08-17 10:00"


@pytest.fixture
def eyes(desk):
    """Give a member of the wall a browser, by the name the wall knows them by."""

    def _eyes(who: str, now: str = NOW) -> Visitor:
        return Visitor(getattr(desk.wall, who), at=now)

    return _eyes


def _review(eye: Visitor, **changes: object):
    sent = {
        "id": new_id(),
        "printed_name": eye.member.user.printed_name,
        "password": PASSWORD,
    }
    return eye.post("review_packet", 1, 0, data=sent | changes)


@pytest.mark.usefixtures("sound")
def test_a_week_is_prepared_reviewed_issued_and_downloaded_on_the_pages(desk, eyes):
    inspector, reviewer, owner = eyes("inspector"), eyes("reviewer"), eyes("owner")
    assert "10 Aug to 16 Aug 2026 waits" in words(inspector.get("packets"))
    sent = {"id": new_id(), "day": "2026-08-12"}
    for _ in range(2):  # pressed twice
        answer = inspector.post("prepare_packet", data=sent)
        assert answer.url == inspector.url("packet", 1, 0)
    assert Packet.objects.count() == 1
    assert "Review it" not in words(inspector.get("packet", 1, 0))
    assert "Review it" in words(reviewer.get("packet", 1, 0))
    assert _review(reviewer).url == reviewer.url("packet", 1, 0)
    assert "Issue PK-01" in words(reviewer.get("packet", 1, 0))
    answer = reviewer.post("issue_packet", 1, 0, data={})
    assert answer.url == reviewer.url("packet", 1, 0)
    packet = Packet.objects.get()
    listed = words(owner.get("packets"))
    assert "PK-01" in listed
    assert packet.file_sha256 in words(owner.get("packet", 1, 0))
    file = owner.get("packet_file", 1, 0)
    assert sha256(file.content).hexdigest() == packet.file_sha256
    name = f"{desk.wall.job.code}-PK-01-revision-0.pdf"
    assert file.headers["Content-Disposition"] == f'attachment; filename="{name}"'
    assert file.headers["Content-Type"] == "application/pdf"
    assert file.headers["X-Content-Type-Options"] == "nosniff"
    assert file.headers["Cache-Control"] == "private, no-store"


def test_the_list_gives_each_files_hash(desk, eyes):
    packet = desk.whole().packet
    for who in ("owner", "inspector", "qc", "engineer"):
        assert packet.file_sha256 in words(eyes(who).get("packets"))


def test_a_draft_is_drawn_for_the_agency_and_unseen_elsewhere(desk, eyes):
    desk.prepare()
    drawn = eyes("reviewer").get("packet_file", 1, 0)
    assert drawn.content.startswith(b"%PDF-")
    assert "revision-0-draft.pdf" in drawn.headers["Content-Disposition"]
    for who in ("owner", "qc", "engineer"):
        assert "PK-01" not in words(eyes(who).get("packets"))
        for page in ("packet", "packet_file"):
            assert eyes(who).get(page, 1, 0).status_code == 404
    assert Packet.objects.get().file_sha256 == ""


@pytest.mark.parametrize(
    ("day", "said"),
    [
        (
            "2026-08-17",
            "The week to 2026-08-23 is not over; allowed is a week that is.",
        ),
        ("2025-08-11", "The week to 2025-08-17 lies before the contract's terms;"),
        ("2026-08-18", "2026-08-18 lies ahead"),
        ("next week", "next week"),
        ("", "required"),
    ],
)
def test_a_week_that_cannot_be_is_said_beside_its_field(desk, eyes, day, said):
    with nothing_written():
        answer = eyes("inspector").post("prepare_packet", data={"day": day})
    assert said in complaints(answer)["day"][0]


def test_a_week_prepared_already_is_said(desk, eyes):
    desk.prepare()
    with nothing_written():
        answer = eyes("reviewer").post("prepare_packet", data={"day": "2026-08-10"})
    said = complaints(answer)["day"][0]
    assert said == "PK-01 revision 0 is prepared and not issued; issue it first."


@pytest.mark.parametrize(
    ("changes", "field", "said"),
    [
        ({"password": "guessed"}, "password", "not your password"),
        ({"password": ""}, "password", "required"),
        ({"printed_name": "S. M."}, "printed_name", "Solveig Marchetti"),
    ],
)
def test_a_review_without_its_parts_reviews_nothing(desk, eyes, changes, field, said):
    desk.prepare()
    with nothing_written():
        answer = _review(eyes("reviewer"), **changes)
    assert said in complaints(answer)[field][0]
    assert not Move.objects.filter(packet__isnull=False).exists()


def test_nobody_reviews_their_own_and_nothing_is_issued_unreviewed(desk, eyes):
    desk.prepare(by=desk.wall.reviewer)
    reviewer = eyes("reviewer")
    with nothing_written():
        assert "was prepared by Solveig Marchetti" in words(_review(reviewer))
        answer = reviewer.post("issue_packet", 1, 0, data={})
    assert answer.status_code == 422
    assert "PK-01 revision 0 is not reviewed yet." in words(answer)


def test_issued_twice_is_issued_once(desk, eyes):
    desk.review(desk.prepare())
    reviewer = eyes("reviewer")
    for _ in range(2):
        assert reviewer.post("issue_packet", 1, 0, data={}).status_code == 302
    assert Move.objects.filter(packet__isnull=False, move="issue").count() == 1


def test_an_issued_week_says_what_changed_and_is_revised_for_a_reason(desk, eyes):
    desk.whole()
    inspector = eyes("inspector", "2026-08-18 10:00")
    assert "No record in it reads otherwise" in words(inspector.get("packet", 1, 0))
    with clock.set_to(at("2026-08-18 09:00")):
        raise_one(desk.wall, desk.load)
    page = words(inspector.get("packet", 1, 0))
    assert "1 record reads otherwise since it was issued." in page
    assert "reads otherwise" not in words(eyes("owner").get("packet", 1, 0))
    with nothing_written():
        answer = inspector.post("revise_packet", 1, 0, data={"reason": "late"})
    assert "reason" in complaints(answer)
    sent = {"reason": "the report on the load was raised late"}
    answer = inspector.post("revise_packet", 1, 0, data=sent)
    assert answer.url == inspector.url("packet", 1, 1)
    assert sent["reason"] in words(inspector.get("packet", 1, 1))


def test_a_file_altered_on_the_disk_is_not_sent(desk, eyes, caplog):
    packet = desk.whole().packet
    path = kept_path(acts.store(), packet.file_sha256, suffix=".pdf")
    path.write_bytes(b"%PDF-something else")
    assert eyes("owner").get("packet_file", 1, 0).status_code == 404
    assert "packet PK-01" in caplog.text


def test_another_jobs_packet_is_nobodys_here(desk, eyes):
    desk.whole()
    assert eyes("owner").get("packet", 7, 0).status_code == 404
    assert eyes("owner").get("packet_file", 1, 9).status_code == 404


def test_the_pages_ask_as_often_for_many_packets_as_for_few(desk, eyes):
    desk.whole()
    few = [eyes("owner").queries(*page) for page in (("packets",), ("packet", 1, 0))]
    with clock.set_to(at("2026-09-07 08:00")):
        for day in (18, 25, 31):
            packet = desk.prepare(day=at(f"2026-08-{day} 12:00").date())
            desk.review(packet)
            desk.issue(packet)
    owner = eyes("owner", "2026-09-07 10:00")
    assert few == [owner.queries(*page) for page in (("packets",), ("packet", 1, 0))]
