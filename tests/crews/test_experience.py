"""What was shot before this record began: stated by name, and what it opens."""

from __future__ import annotations

from datetime import date
from decimal import Decimal

import pytest
from django.core.exceptions import PermissionDenied

from crews.actions.experience import state_experience
from crews.queries.operator_files import people_on
from project.domain.shooting_words import Process
from project.models import new_id
from tests.crews.acts import nothing_written, one_line, refused
from tests.crews.pages import Visitor, words
from tests.factories import at, clock_at


def _stated(site, **given):
    return {
        "id": new_id(),
        "by": site.qc,
        "operator": site.operator,
        "process": Process.WET,
        "hours": Decimal("6400.5"),
        "last_shot_on": date(2026, 7, 10),
        "stated_on": date(2026, 7, 18),
        "stated_by": "Idris Halloran",
    } | given


@pytest.fixture
def july(site):
    with clock_at("2026-07-18 09:00"):
        yield site


def _shots(site):
    (person,) = people_on(site.job, operators=[site.operator])
    shots = person.file.known_at(at("2026-09-14 09:00")).shots
    return [(shot.process, shot.on(site.job.zone)) for shot in shots]


def test_a_statement_leaves_one_line_and_its_day_counts_as_shooting(july):
    given = _stated(july)
    with one_line(july.contractor, "experience.stated"):
        state_experience(**given)
    with nothing_written(july.contractor):
        state_experience(**given)
    assert _shots(july) == [(Process.WET, date(2026, 7, 10))]


def test_a_correction_takes_the_day_it_no_longer_names_back(july):
    first = state_experience(**_stated(july))
    state_experience(
        **_stated(july, last_shot_on=None, supersedes=first, reason="Not known.")
    )
    assert _shots(july) == []


@pytest.mark.parametrize(
    ("given", "field", "words"),
    [
        ({"hours": Decimal(-1)}, "hours", "-1 h; allowed is 0 to 100000"),
        ({"hours": Decimal("NaN")}, "hours", "NaN h"),
        ({"hours": Decimal(100_001)}, "hours", "100001 h"),
        ({"stated_by": "  "}, "stated_by", "Nobody is named"),
        ({"stated_on": date(2026, 7, 19)}, "stated_on", "lies in the future"),
        ({"last_shot_on": date(2026, 7, 19)}, "last_shot_on", "2026-07-19; allowed"),
    ],
)
def test_what_cannot_be_is_refused_by_name(july, given, field, words):
    errors = refused(state_experience, **_stated(july, **given))
    assert words in errors[field][0]


def test_another_firm_states_nothing_of_this_ones_people(july):
    with nothing_written(), pytest.raises(PermissionDenied):
        state_experience(**_stated(july, by=july.other_qc))


def test_the_sheet_takes_a_statement_and_shows_it(site):
    visitor = Visitor(site.qc)
    sent = {
        "id": str(new_id()),
        "process": "wet",
        "method": "hand",
        "hours": "6400.5",
        "last_shot_on": "2026-07-10",
        "stated_by": "Idris Halloran",
        "stated_on": "2026-07-18",
    }
    wrong = visitor.post("state_experience", "OP-01", data=sent | {"hours": "many"})
    assert wrong.status_code == 422
    assert "many" in wrong.content.decode()
    assert visitor.post("state_experience", "OP-01", data=sent).status_code == 302
    page = words(visitor.get("operator", "OP-01"))
    assert "wet, hand 6,400.5" in page
    assert "10 Jul 2026" in page
