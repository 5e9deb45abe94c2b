"""The eligibility command: what it answers, and what it refuses by name."""

from __future__ import annotations

import json
from io import StringIO

import pytest
from django.core.management import CommandError, call_command

from tests.factories import clock_at


def _asked(site, **given) -> str:
    out = StringIO()
    asked = {"part": "R1", "at": "2026-08-04 07:10"} | given
    with clock_at("2026-09-14 09:00"):
        call_command("eligibility", site.job.code, stdout=out, **asked)
    return out.getvalue()


def test_it_says_who_is_qualified_on_record_and_why_the_others_are_not(qualified):
    told = _asked(qualified)
    assert "OP-01 Bartosz Ilunga: qualified on record" in told
    assert "mock-up: none accepted that covers the part" in told
    assert max(map(len, told.splitlines())) <= 80


def test_for_machines_it_gives_every_gate_with_its_evidence(qualified):
    told = json.loads(_asked(qualified, json=True))
    (part,) = told["parts"]
    first = part["operators"][0]
    assert (first["operator"], first["words"]) == ("OP-01", "qualified on record")
    card = next(r for r in first["reasons"] if r["key"] == "card")
    assert card["evidence"]
    assert card["source"]
    assert len(first["reasons"]) == 7


def test_as_known_before_the_mock_up_was_judged_the_answer_is_another(qualified):
    told = _asked(qualified, known_at="2026-07-18 08:00")
    assert "OP-01 Bartosz Ilunga: not qualified on record" in told


def test_an_element_answers_for_each_of_its_parts(qualified):
    """Here the part and its element have one code; the command finds it by either."""
    told = json.loads(_asked(qualified, part="R6", json=True))
    assert [part["position"] for part in told["parts"]] == ["overhead"]


@pytest.mark.parametrize(
    ("given", "words"),
    [
        ({"part": "R99"}, "--part 'R99': no part or element of this code as known"),
        ({"mix": "W-99"}, "--mix 'W-99': allowed are"),
        ({"at": "4.8.2026"}, "--at '4.8.2026': 4.8.2026 is not a date and time"),
        ({"at": "2026-03-08 02:30"}, "was never on the clock"),
        ({"at": "2026-11-01 01:30"}, "2026-11-01 01:30"),
        ({"known_at": "2027-01-01"}, "--known-at '2027-01-01': 2027-01-01 lies ahead"),
    ],
)
def test_what_it_cannot_read_is_refused_by_name(qualified, given, words):
    with pytest.raises(CommandError, match=words.replace("(", r"\(")):
        _asked(qualified, **given)


def test_an_unknown_job_is_refused(qualified):
    with pytest.raises(CommandError, match="job 'X-1': there is none of this code"):
        call_command("eligibility", "X-1", part="R1", at="2026-08-04 07:10")
