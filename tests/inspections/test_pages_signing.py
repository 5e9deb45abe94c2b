"""Signing, reviewing, clearing and amending on the pages."""

from __future__ import annotations

import pytest

from inspections.models import Load, Move, ReportVersion
from project.models import FlagCleared, new_id
from tests.crews.acts import nothing_written
from tests.crews.pages import Visitor, complaints, words
from tests.factories import PASSWORD
from tests.inspections.hands import (
    MEANING,
    SHOT_TOO_SOON,
    load,
    remark,
    review,
    shown,
    sign,
)
from tests.inspections.wall import DAY

AFTERNOON = f"{DAY} 15:00"


@pytest.fixture
def eye(wall):
    return Visitor(wall.inspector, at=AFTERNOON)


@pytest.fixture
def reviewer(wall):
    return Visitor(wall.reviewer, at=f"{DAY} 16:00")


def _signature(wall, **changes):
    usual = {
        "id": new_id(),
        "content_sha256": shown(wall),
        "conforming": "no",
        "statement": "Load 1 past its age.",
        "printed_name": wall.inspector.user.printed_name,
        "meaning": MEANING,
        "password": PASSWORD,
    }
    return usual | changes


@pytest.mark.usefixtures("sound")
def test_a_sheet_is_signed_once_and_the_line_stands_where_the_form_stood(wall, eye):
    load(wall)
    page = eye.get("sign_sheet", 1)
    told = words(page)
    for row in ("Nozzle time", "Loads 1 accepted", "Rounds none walked"):
        assert row in told
    assert "not looked at" in told
    assert "Sign sheet 1" in told
    assert page.context["form"]["content_sha256"].value() == shown(wall)
    sent = _signature(wall)
    for _ in range(2):  # pressed twice
        assert eye.post("sign_sheet", 1, data=sent).url == eye.url("sign_sheet", 1)
    version = ReportVersion.objects.get()
    assert (version.n, version.conforming) == (1, False)
    assert version.signature.statement == "Load 1 past its age."
    told = words(eye.get("sign_sheet", 1))
    assert "Sign sheet 1" not in told
    assert version.sha256 in told
    assert wall.inspector.user.printed_name in told
    assert "signed, not yet reviewed" in words(eye.get("report", 1))


@pytest.mark.parametrize(
    ("changes", "field", "said"),
    [
        ({"password": "guess"}, "password", "not your password"),
        ({"password": ""}, "password", "required"),
        ({"printed_name": "J. Doe"}, "printed_name", "Printed name J. Doe; allowed"),
        ({"conforming": ""}, "conforming", "required"),
        ({"conforming": "perhaps"}, "conforming", "perhaps is not on this list"),
        ({"statement": " "}, "statement", "what does not conform is said in words"),
        ({"meaning": "I guess"}, "meaning", "I guess is not on this list"),
    ],
)
def test_a_signature_that_cannot_stand_keeps_everything_typed(
    wall, eye, changes, field, said
):
    with nothing_written(wall.job):
        answer = eye.post("sign_sheet", 1, data=_signature(wall, **changes))
    assert said in " ".join(complaints(answer)[field])
    assert "Sign sheet 1" in words(answer)
    if "statement" not in changes:
        assert "Load 1 past its age." in answer.content.decode()


def test_what_changed_meanwhile_is_read_again_before_it_is_signed(wall, eye):
    sent = _signature(wall)
    remark(wall)
    with nothing_written(wall.job):
        answer = eye.post("sign_sheet", 1, data=sent)
    assert "changed since you read it" in " ".join(complaints(answer)["__all__"])
    again = answer.context["form"]["content_sha256"].value()
    assert again == shown(wall) != sent["content_sha256"]
    eye.post("sign_sheet", 1, data=sent | {"content_sha256": again})
    assert ReportVersion.objects.count() == 1


def test_a_second_signature_is_told_of_the_first(wall, eye):
    sign(wall)
    with nothing_written(wall.job):
        answer = eye.post("sign_sheet", 1, data=_signature(wall))
    who = wall.inspector.user.printed_name
    assert f"DFR-001 was signed by {who}" in " ".join(complaints(answer)["__all__"])


def test_nobody_signs_the_sheet_of_another(wall):
    colleague = Visitor(wall.associate, at=AFTERNOON)
    assert "who signs it" in words(colleague.get("sign_sheet", 1))
    sent = _signature(wall, printed_name=wall.associate.user.printed_name)
    with nothing_written(wall.job):
        answer = colleague.post("sign_sheet", 1, data=sent)
    assert "allowed is its own inspector" in " ".join(complaints(answer)["__all__"])


@pytest.mark.usefixtures("sound")
def test_flags_are_cleared_before_somebody_else_reviews(wall, eye, reviewer):
    load(wall, **SHOT_TOO_SOON)
    told = words(eye.get("sign_sheet", 1))
    assert "One entry contradicts another" in told
    sign(wall)
    flags = reviewer.get("review_sheet", 1).context["page"].flags
    mark = flags[0].flag.mark
    mine = {
        "id": new_id(),
        "printed_name": wall.reviewer.user.printed_name,
        "meaning": "reviewed; another person wrote it",
        "password": PASSWORD,
    }
    with nothing_written(wall.job):
        answer = reviewer.post("review_sheet", 1, data=mine)
    assert "Clear these flags first" in " ".join(complaints(answer)["__all__"])
    with nothing_written(wall.job):
        answer = reviewer.post("clear_flag", 1, data={"mark": mark, "words": " "})
    assert complaints(answer)["words"]
    with nothing_written(wall.job):
        sent = {"mark": "no such flag", "words": "Ticket misread."}
        answer = reviewer.post("clear_flag", 1, data=sent)
    assert "is no flag of DFR-001 now" in " ".join(complaints(answer)["mark"])
    sent = {"mark": mark, "words": "Ticket misread."}
    for _ in range(2):
        reviewer.post("clear_flag", 1, data=sent)
    assert FlagCleared.objects.count() == 1
    assert "Ticket misread." in words(reviewer.get("report", 1))
    with nothing_written(wall.job):
        answer = reviewer.post("review_sheet", 1, data=mine | {"password": "guess"})
    assert complaints(answer)["password"]
    for _ in range(2):
        reviewer.post("review_sheet", 1, data=mine)
    assert Move.objects.filter(move="review").count() == 1
    told = words(reviewer.get("review_sheet", 1))
    assert "Review sheet 1" not in told
    assert "reviewed; another person wrote it" in told


def test_the_author_does_not_review(wall, eye):
    sign(wall)
    assert "Somebody else than its author" in words(eye.get("review_sheet", 1))
    mine = {
        "id": new_id(),
        "printed_name": wall.inspector.user.printed_name,
        "meaning": "reviewed; another person wrote it",
        "password": PASSWORD,
    }
    with nothing_written(wall.job):
        answer = eye.post("review_sheet", 1, data=mine)
    assert answer.status_code == 422


def _amendment(row, **changes):
    usual = {
        "id": new_id(),
        "truck": row.truck,
        "ticket": row.ticket,
        "mix_revision": "",
        "supplier": "",
        "volume_0": "3.9",
        "volume_1": "yd3",
        "returned_0": "",
        "water_added_0": "",
        "batched_at": f"{DAY}T06:25",
        "arrived_at": f"{DAY}T06:52",
        "first_shot_at": f"{DAY}T06:55",
        "last_shot_at": f"{DAY}T07:49",
        "accepted": "yes",
        "reason": "The ticket says 3.9, read again.",
    }
    return usual | changes


@pytest.mark.usefixtures("sound")
def test_a_signed_sheet_is_amended_by_one_entry_read_first_then_signed(wall, eye):
    row = load(wall)
    before = sign(wall)
    review(wall)
    assert "Load 1, ticket 52163" in words(eye.get("amend_sheet", 1))
    place = (1, "load", row.first, "correct")
    sent = _amendment(row)
    with nothing_written(wall.job):
        page = eye.post("amend_entry", *place, data=sent)
    assert page.status_code == 200
    changed = [(d.where, d.before, d.after) for d in page.context["differences"]]
    assert changed == [("loads 1 volume", "3.3 yd3", "3.9 yd3")]
    signing = page.context["signing"]
    sent |= {
        "content_sha256": signing["content_sha256"].value(),
        "conforming": "yes",
        "printed_name": wall.inspector.user.printed_name,
        "meaning": MEANING,
        "password": "guess",
    }
    with nothing_written(wall.job):
        answer = eye.post("amend_entry", *place, data=sent)
    assert answer.status_code == 422
    assert "not your password" in words(answer)
    sent["password"] = PASSWORD
    for _ in range(2):  # pressed twice
        eye.post("amend_entry", *place, data=sent)
    versions = list(ReportVersion.objects.order_by("n"))
    assert [v.n for v in versions] == [1, 2]
    assert versions[1].reason == "The ticket says 3.9, read again."
    assert versions[0].sha256 == before.sha256
    assert Load.objects.filter(first=row.first).count() == 2
    page = words(eye.get("report", 1))
    assert "amended, not yet reviewed" in page
    assert "Read version 1" in page
    earlier = words(eye.get("report_version", 1, 1))
    assert "a later one is in force" in earlier
    assert " 3.3 " in earlier
    assert " 3.9 " not in earlier


@pytest.mark.parametrize(
    ("changes", "said"),
    [
        ({"reason": "typo"}, "allowed is a sentence of 10 letters or more"),
        ({"volume_0": "3.3"}, "Nothing on the sheet would change"),
        ({"volume_0": "-3"}, "-3 yd3; allowed is more than 0"),
    ],
)
def test_an_amendment_that_changes_nothing_or_says_nothing_is_refused(
    wall, eye, changes, said
):
    row = load(wall)
    sign(wall)
    with nothing_written(wall.job):
        answer = eye.post(
            "amend_entry", 1, "load", row.first, "correct",
            data=_amendment(row, **changes),
        )  # fmt: skip
    assert answer.status_code == 422
    assert said in words(answer)


def test_a_draft_is_written_on_and_not_amended(wall, eye):
    row = load(wall)
    assert eye.get("amend_sheet", 1).status_code == 404
    assert eye.get("amend_entry", 1, "load", row.first, "correct").status_code == 404


def test_a_sheet_opened_in_error_is_void_and_keeps_its_number(wall, eye):
    with nothing_written(wall.job):
        answer = eye.post("void_sheet", 1, data={"reason": " "})
    assert complaints(answer)["reason"]
    eye.post("void_sheet", 1, data={"reason": "wrong contractor"})
    assert "void" in words(eye.get("report", 1))
    shift = wall.shift.first
    again = eye.post("open_sheet", shift, data={"id": new_id()})
    assert again.url == eye.url("report", 2)
    assert eye.post("open_sheet", shift, data={"id": new_id()}).url == again.url
