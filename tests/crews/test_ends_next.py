"""What ends next as members read it, on the page and at the terminal."""

from __future__ import annotations

import json
from datetime import date, timedelta
from io import StringIO

import pytest
from django.core.management import CommandError, call_command

from crews.actions.people import record_certification
from crews.actions.plans import Asked, plan_placement
from crews.models import Certification
from project.audit import act
from project.models import MixRevision, new_id
from tests.crews.pages import Visitor, words
from tests.factories import at, card, clock_at


def _asked(site, **given) -> str:
    out = StringIO()
    with clock_at("2026-09-14 09:00"):
        call_command("expiring", site.job.code, stdout=out, **given)
    return out.getvalue()


def test_the_page_lists_each_window_once_and_says_how_many_days_are_left(qualified):
    last = qualified_last_day(qualified)
    page = words(Visitor(qualified.qc).get("ends_next", at=f"{last}T08:00"))
    assert "ends today" in page
    assert "Bartosz Ilunga" in page
    assert page.count("Nothing on record ends in this stretch.") == 2


def qualified_last_day(site) -> str:
    told = json.loads(_asked(site, days="3650", json=True))
    return next(
        one["last_on"]
        for one in told["ends"]
        if (one["operator"], one["kind"]) == ("OP-01", "card")
    )


def test_one_contractor_reads_nothing_of_anothers_people(qualified):
    last = qualified_last_day(qualified)
    page = words(Visitor(qualified.other_qc).get("ends_next", at=f"{last}T08:00"))
    assert "Bartosz Ilunga" not in page


def test_a_wrong_instant_is_named(qualified):
    response = Visitor(qualified.qc).get("ends_next", at="soon")
    assert response.status_code == 422
    assert "soon" in words(response)


def test_the_lines_fit_a_terminal(qualified):
    told = _asked(qualified, days="3650")
    assert "ended, and not followed by another" in told
    assert max(map(len, told.splitlines())) <= 80


@pytest.mark.parametrize("days", ["-1", "two", "1.5", "3661", "", "\u0665", "9" * 5000])
def test_silly_days_are_refused_by_name(qualified, days):
    with pytest.raises(CommandError, match="allowed is a whole number, 0 to 3660"):
        _asked(qualified, days=days)


def test_work_planned_after_an_ending_stands_under_it(qualified):
    last = date.fromisoformat(qualified_last_day(qualified))
    day_after = last + timedelta(days=1)
    with clock_at(f"{last - timedelta(days=9)} 08:00"):
        given = {"part": qualified.wall.part, "mix": qualified.mix, "by": qualified.qc}
        asked = [Asked(qualified.operator)]
        kept = plan_placement(
            id=new_id(), starts_at=at(f"{last} 07:00"), operators=asked, **given
        )
        late = plan_placement(
            id=new_id(), starts_at=at(f"{day_after} 07:00"), operators=asked, **given
        )
    assert (len(kept.assigned), len(late.assigned)) == (1, 0)
    old = Certification.objects.get(operator=qualified.operator)
    with clock_at(f"{last - timedelta(days=8)} 08:00"):
        record_certification(
            id=new_id(),
            by=qualified.qc,
            operator=qualified.operator,
            card=card(number=old.number, expires_on=last - timedelta(days=1)),
            supersedes=old,
            reason="Misread.",
        )
    visitor = Visitor(qualified.qc, at=f"{last - timedelta(days=7)} 09:00")
    page = words(visitor.get("ends_next"))
    assert "planned after it: PLAN-01 R1 on" in page
    assert "PLAN-02" not in page
    known = f"{last - timedelta(days=9)}T09:00"
    assert "planned after it" not in words(visitor.get("ends_next", known=known))


def test_a_mix_that_is_withdrawn_is_told_of_everybody(qualified):
    old = qualified.mix
    with clock_at("2026-09-10 08:00"):
        revise = {"withdrawn_on": date(2026, 9, 21)}
        with act(on=qualified.job, by=qualified.engineer, verb="mix.withdrawn") as deed:
            row = MixRevision.objects.get(pk=old.pk)
            last = MixRevision.objects.filter(first=row.first).latest("recorded_at")
            deed.supersede(last, last.revised(id=new_id(), **revise), reason="Air.")
    page = words(Visitor(qualified.qc).get("ends_next"))
    assert "Sun 20 Sep 2026 every operator Mix W-45A rev 1: withdrawn from" in page
    assert "2026-09-20     6 d  all    mix: W-45A rev 1" in _asked(qualified)
