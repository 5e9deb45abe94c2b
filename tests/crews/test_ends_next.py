"""What ends next as members read it, on the page and at the terminal."""

from __future__ import annotations

import json
from io import StringIO

import pytest
from django.core.management import CommandError, call_command

from tests.crews.pages import Visitor, words
from tests.factories import clock_at


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


@pytest.mark.parametrize("days", ["-1", "two", "1.5", "3661", "", "\u0665"])
def test_silly_days_are_refused_by_name(qualified, days):
    with pytest.raises(CommandError, match="allowed is a whole number, 0 to 3660"):
        _asked(qualified, days=days)
