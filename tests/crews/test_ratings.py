"""The visual rating of cores: at least three of one panel, and who may say so."""

from __future__ import annotations

import pytest
from django.core.exceptions import PermissionDenied

from crews.actions.cores import CoreEntry, drill_cores
from crews.actions.ratings import rate_cores
from crews.domain.trade_words import RatingDecision
from crews.models import VisualRating
from project.models import new_id
from tests.crews.acts import nothing_written, one_line, refused
from tests.crews.pages import Visitor, a_day_with_one_panel_missing, complaints, words
from tests.factories import at, clock_at, make_cores, make_panel
from tests.support.made_once import made_once

SEEN = at("2026-09-02 10:00")
GOOD, BAD = RatingDecision.ACCEPTABLE, RatingDecision.NOT_ACCEPTABLE


@made_once
def cored(qualified):
    site = a_day_with_one_panel_missing(qualified)
    site.extra["cores"] = make_cores(site, site.extra["panel"])
    other = make_panel(site, placement=site.extra["placed"], shot="2026-08-04 10:30")
    site.extra["other"] = other
    site.extra["other_cores"] = make_cores(site, other, ages=(28, 28, 28))
    return site


def _given(site, **more):
    return {
        "id": new_id(),
        "by": site.engineer,
        "panel": site.extra["panel"],
        "rated_at": SEEN,
        "cores": site.extra["cores"][2:],
        "decision": GOOD,
        "words": "Bars encased all round.",
    } | more


def _rated(site, now="2026-09-02 11:00", **more):
    with clock_at(now):
        return rate_cores(**_given(site, **more))


def test_three_cores_are_rated_as_a_group_in_one_line(cored):
    with clock_at("2026-09-02 11:00"), one_line(cored.job, "cores.rated"):
        row = rate_cores(**_given(cored))
    kept = VisualRating.objects.get(pk=row.pk)
    assert kept.cores == [3, 4, 5]
    assert (kept.decision, kept.words) == ("acceptable", "Bars encased all round.")
    assert kept.panel_id == cored.extra["panel"].first


def test_sent_twice_it_is_rated_once(cored):
    given = _given(cored)
    with clock_at("2026-09-02 11:00"):
        rate_cores(**given)
        with nothing_written(cored.job):
            rate_cores(**given)


@pytest.mark.parametrize("count", [0, 1, 2])
def test_fewer_than_three_are_no_group(cored, count):
    """ACI 506.6T-17 as quoted (read as quoted): at least three, never one."""
    cores = cored.extra["cores"][:count]
    with clock_at("2026-09-02 11:00"):
        errors = refused(rate_cores, **_given(cored, cores=cores))
    assert errors == {
        "cores": [f"{count} given; allowed is a group of 3 cores or more, never one."]
    }


def test_one_core_named_three_times_is_one_core(cored):
    with clock_at("2026-09-02 11:00"):
        errors = refused(
            rate_cores, **_given(cored, cores=cored.extra["cores"][:1] * 3)
        )
    assert errors["cores"][0].startswith("1 given")


def test_a_core_of_another_panel_is_refused(cored):
    mixed = [*cored.extra["cores"][:3], cored.extra["other_cores"][0]]
    with clock_at("2026-09-02 11:00"):
        errors = refused(rate_cores, **_given(cored, cores=mixed))
    assert "allowed are cores of TP-001" in errors["cores"][0]


@pytest.mark.parametrize(
    ("rated_at", "told"),
    [
        ("2026-08-04 08:59", "allowed is after TP-001 was shot, 2026-08-04 09:00"),
        ("2026-08-10 08:59", "was drilled, 2026-08-10 09:00"),
        ("2026-09-02 11:01", "lies in the future; allowed is up to 2026-09-02 11:00"),
    ],
)
def test_nobody_saw_them_before_they_were_there_or_after_now(cored, rated_at, told):
    with clock_at("2026-09-02 11:00"):
        errors = refused(rate_cores, **_given(cored, rated_at=at(rated_at)))
    assert told in errors["rated_at"][0]


@pytest.mark.parametrize("decision", [BAD, RatingDecision.MORE_WANTED])
def test_words_are_needed_where_they_are_not_acceptable(cored, decision):
    with clock_at("2026-09-02 11:00"):
        errors = refused(rate_cores, **_given(cored, decision=decision, words=" "))
    assert str(decision) in errors["words"][0]
    assert _rated(cored, decision=GOOD, words="").words == ""


def test_nobody_but_the_engineer_rates(cored):
    for who in ("inspector", "qc", "reviewer", "laboratory", "architect", "owner"):
        with nothing_written(), pytest.raises(PermissionDenied):
            rate_cores(**_given(cored, by=cored.members[who]))


def test_a_rating_is_corrected_with_a_reason_and_the_first_stays(cored):
    first = _rated(cored)
    with clock_at("2026-09-03 09:00"):
        more = {"supersedes": first, "decision": BAD, "words": "Groove behind one bar."}
        lacking = refused(rate_cores, **_given(cored, **more))
        assert lacking == {"reason": ["Say why: a reason is needed."]}
        with one_line(cored.job, "cores.rated"):
            rate_cores(**_given(cored, **more, reason="Core 4 was turned round."))
        again = refused(rate_cores, **_given(cored, **more, reason="Once more."))
    assert "somebody else meanwhile" in str(again)
    known = VisualRating.objects.known_at
    assert [r.decision for r in known(at("2026-09-03 08:59"))] == [GOOD]
    assert [r.decision for r in known(at("2026-09-03 09:01"))] == [BAD]


def test_a_rating_of_another_panel_is_not_superseded(cored):
    other = _rated(cored, panel=cored.extra["other"], cores=cored.extra["other_cores"])
    with clock_at("2026-09-03 09:00"):
        errors = refused(
            rate_cores, **_given(cored, supersedes=other, reason="Wrong panel.")
        )
    assert "allowed is a rating of TP-001" in errors["supersedes"][0]


def test_a_panel_of_another_job_is_refused(cored, elsewhere):
    with clock_at("2026-09-02 11:00"):
        errors = refused(rate_cores, **_given(cored, by=elsewhere.engineer))
    assert "is not of this job" in errors["panel"][0]


# --- The pages ------------------------------------------------------------------------


def _sent(site, cores, **more):
    return {
        "id": str(new_id()),
        "cores": [str(core.first) for core in cores],
        "decision": "not acceptable",
        "rated_at": "2026-09-14T08:00",
        "words": "Sand behind a bar in two of three.",
    } | more


def test_the_engineer_rates_from_the_panels_page_and_it_is_shown_there(cored):
    eye = Visitor(cored.engineer)
    assert "Rate the faces of its cores" in words(eye.get("panel", "TP-001"))
    sent = eye.post("rate_cores", "TP-001", data=_sent(cored, cored.extra["cores"][:3]))
    assert sent.status_code == 302, words(sent)
    page = words(eye.get("panel", "TP-001"))
    assert "Cores 1, 2, 3 Sand behind a bar in two of three. Rhoswen Takeda" in page
    assert "not acceptable" in page
    rated = VisualRating.objects.get()
    again = eye.post(
        "rate_cores",
        "TP-001",
        data=_sent(
            cored,
            cored.extra["cores"],
            decision="acceptable",
            supersedes=str(rated.first),
            reason="Seen again in daylight.",
            words="",
        ),
    )
    assert again.status_code == 302, words(again)
    page = words(eye.get("panel", "TP-001"))
    assert "superseded" in page
    assert "Rhoswen Takeda; Seen again in daylight." in page


def test_what_was_known_before_it_was_rated_says_nothing_of_it(cored):
    _rated(cored)
    eye = Visitor(cored.engineer)
    before = words(eye.get("panel", "TP-001", known="2026-09-02T10:59"))
    assert "Bars encased all round." not in before
    after = words(eye.get("panel", "TP-001", known="2026-09-02T11:01"))
    assert "Bars encased all round." in after


def test_others_are_not_offered_the_rating(cored):
    for who in ("inspector", "qc", "owner"):
        eye = Visitor(cored.members[who])
        assert "Rate the faces" not in words(eye.get("panel", "TP-001"))
        assert eye.get("rate_cores", "TP-001").status_code == 403


def test_a_form_with_too_few_cores_is_drawn_again_with_its_reason(cored):
    eye = Visitor(cored.engineer)
    two = _sent(cored, cored.extra["cores"][:2])
    assert (
        "2 given" in complaints(eye.post("rate_cores", "TP-001", data=two))["cores"][0]
    )
    none = complaints(eye.post("rate_cores", "TP-001", data=_sent(cored, [])))
    assert list(none) == ["cores"]
    foreign = _sent(cored, [*cored.extra["cores"][:2], *cored.extra["other_cores"][:1]])
    told = complaints(eye.post("rate_cores", "TP-001", data=foreign))["cores"][0]
    assert "is no core of this panel; allowed are those on this list" in told
    silent = complaints(
        eye.post(
            "rate_cores", "TP-001", data=_sent(cored, cored.extra["cores"], decision="")
        )
    )
    assert list(silent) == ["decision"]
    unknown = _sent(cored, cored.extra["cores"], decision="grade 2")
    told = complaints(eye.post("rate_cores", "TP-001", data=unknown))["decision"][0]
    assert told == "grade 2 is not on this list; allowed is one that is."
    reasonless = _rated(cored, rated_at=at("2026-09-02 09:00"))
    sent = _sent(cored, cored.extra["cores"], supersedes=str(reasonless.first))
    told = complaints(eye.post("rate_cores", "TP-001", data=sent))
    assert told == {"reason": ["A correction needs its reason."]}
    assert eye.get("rate_cores", "TP-404").status_code == 404


def test_a_panel_with_two_cores_has_no_group_to_offer(cored):
    bare = make_panel(cored, placement=cored.extra["placed"], shot="2026-08-04 10:45")
    with clock_at("2026-08-10 10:00"):
        drill_cores(
            by=cored.technician,
            panel=bare,
            cores=[
                CoreEntry(id=new_id(), number=n, planned_age_days=28) for n in (1, 2)
            ],
        )
    page = words(Visitor(cored.engineer).get("panel", bare.code))
    assert "Rate the faces of its cores" not in page
