"""A signed sheet: reviewed by somebody else, changed only by a version with a reason."""

from __future__ import annotations

from copy import deepcopy

import pytest
from django.core.exceptions import PermissionDenied, ValidationError

from inspections.actions.corrections import correct_entry
from inspections.actions.reports import open_report
from inspections.actions.signing import (
    amend_report,
    preview_amendment,
    review_report,
)
from inspections.models import Load, Move, Remark, ReportVersion
from inspections.queries.content import report_content
from project.models import Signature, new_id
from project.queries.jobs import now_on
from tests.inspections.hands import MEANING, load, remark, review, sign
from tests.inspections.wall import q


def test_somebody_else_of_the_firm_reviews(wall, lines):
    with pytest.raises(ValidationError, match="DFR-001 is not signed yet"):
        review(wall)
    version = sign(wall)
    with pytest.raises(ValidationError) as refused:
        review(wall, wall.inspector)
    assert "somebody else than the author" in refused.value.message_dict["by"][0]
    with pytest.raises(PermissionDenied):
        review(wall, wall.qc)
    before, id = lines(), new_id()
    done = review(wall, id=id)
    assert review(wall, id=id) == done
    assert done.evidence == {"version": 1, "sha256": version.sha256}
    assert done.signature.content_sha256 == version.sha256
    assert lines() == before + 1
    with pytest.raises(ValidationError) as told:
        review(wall)
    assert "Last: Solveig Marchetti, review" in told.value.message_dict["move"][0]
    assert Signature.objects.count() == 2


def test_one_associate_does_not_review_another(wall):
    theirs = open_report(id=new_id(), by=wall.associate, shift=wall.shift)
    wall.associate.may_sign_alone = True  # as if the contract let the associate sign
    sign(wall, wall.associate, theirs)
    facts = {
        "id": new_id(),
        "report": theirs,
        "meaning": "reviewed for the inspection agency",
    }
    with pytest.raises(ValidationError, match="both are of associate level"):
        review_report(
            **facts,
            by=wall.other_associate,
            printed_name=wall.other_associate.user.printed_name,
            proof=wall.proof(wall.other_associate),
        )
    done = review_report(
        **facts,
        by=wall.inspector,
        printed_name=wall.inspector.user.printed_name,
        proof=wall.proof(wall.inspector),
    )
    assert done.state == "reviewed"


def amendment(wall, changes, **more) -> dict:
    facts = {
        "by": wall.inspector,
        "report": wall.report,
        "reason": "the ticket was read again",
        "changes": changes,
    }
    return facts | more


@pytest.mark.usefixtures("sound")
def test_an_amendment_is_the_changes_the_version_and_the_signature_in_one_act(
    wall, lines
):
    came = load(wall)
    first = sign(wall)
    review(wall)
    content_before = deepcopy(first.content)
    correction = new_id()

    def changes():
        correct_entry(
            id=correction,
            by=wall.inspector,
            entry=came,
            reason="read again",
            volume=q("3.6", "yd3"),
        )

    before = lines()
    content, digest = preview_amendment(**amendment(wall, changes))
    assert content["loads"][0]["volume"] == ["3.6", "yd3"]
    assert lines() == before  # nothing of the preview is kept
    assert Load.objects.count() == 1

    id = new_id()
    facts = amendment(wall, changes) | {
        "id": id,
        "content_sha256": digest,
        "conforming": True,
        "printed_name": wall.inspector.user.printed_name,
        "meaning": MEANING,
        "statement": "",
        "proof": wall.proof(wall.inspector),
    }
    second = amend_report(**facts)
    assert amend_report(**facts) == second
    assert (second.n, second.sha256, second.reason) == (
        2,
        digest,
        "the ticket was read again",
    )
    assert lines() == before + 1
    assert Load.objects.known_at(now_on(wall.job)).get().pk == correction
    kept = ReportVersion.objects.get(pk=first.pk)
    assert kept.content == content_before
    states = Move.objects.filter(report=wall.report.first).order_by("n")
    assert [move.state for move in states] == ["signed", "reviewed", "amended"]
    now = now_on(wall.job)
    assert report_content(wall.report, known_at=now) == second.content
    earlier = report_content(wall.report, known_at=first.recorded_at)
    assert earlier == first.content
    assert review(wall).evidence["version"] == 2
    with pytest.raises(ValidationError, match="nothing can be added"):
        remark(wall)


@pytest.mark.usefixtures("sound")
@pytest.mark.parametrize(
    ("more", "field"),
    [
        ({"reason": "slip"}, "reason"),
        ({"changes": lambda: None}, "changes"),
        ({"content_sha256": "0" * 64}, "content_sha256"),
        ({"printed_name": "Somebody"}, "printed_name"),
    ],
)
def test_a_bad_amendment_leaves_the_sheet_as_it_was(wall, lines, more, field):
    sign(wall)
    before = lines()
    facts = amendment(wall, lambda: remark(wall)) | {
        "id": new_id(),
        "content_sha256": "0" * 64,
        "conforming": True,
        "printed_name": wall.inspector.user.printed_name,
        "meaning": MEANING,
        "statement": "",
        "proof": wall.proof(wall.inspector),
    }
    if field == "printed_name":
        change = remark_with(wall, new_id())
        facts["changes"] = change
        _content, facts["content_sha256"] = preview_amendment(**amendment(wall, change))
    with pytest.raises(ValidationError) as refused:
        amend_report(**(facts | more))
    assert field in refused.value.message_dict
    assert (ReportVersion.objects.count(), Remark.objects.count()) == (1, 0)
    assert lines() == before


def remark_with(wall, id):
    return lambda: remark(wall, id=id)


def test_only_a_signed_sheet_is_amended_and_only_by_its_inspector(wall):
    with pytest.raises(ValidationError, match="not signed yet"):
        preview_amendment(**amendment(wall, lambda: remark(wall)))
    sign(wall)
    with pytest.raises(ValidationError, match="the sheet of Ottilie Varga"):
        preview_amendment(**amendment(wall, lambda: None, by=wall.associate))
