"""Who may shoot what: each operator by each part, told as it was typed."""

from __future__ import annotations

from crews.queries.matrix import matrix
from crews.queries.qualification import operator_standing
from project.domain.verdict import State
from tests.factories import at, bars, clock_at, make_part

NOW = at("2026-09-14 07:30")


def test_the_matrix_judges_each_operator_for_each_part(qualified):
    page = matrix(qualified.job, as_of=at("2026-08-04 07:00"), known_at=NOW)
    assert [person.code for person in page.people] == ["OP-01", "OP-02", "OP-03"]
    by_part = {row.code: [str(s.state) for s in row.standings] for row in page.rows}
    assert by_part == {
        "R1": ["pass", "fail", "fail"],
        "R6": ["fail", "fail", "fail"],
    }
    assert page.rows[0].qualified == ("OP-01",)
    assert page.rows[0].standings[0].words == "qualified on record"


def test_a_part_without_a_mix_is_undecided_for_everybody(qualified):
    with clock_at("2026-08-05 08:00"):
        make_part(qualified.admin, "Z9", order=9, mix_code="")
    page = matrix(qualified.job, as_of=NOW, known_at=NOW)
    last = page.rows[-1]
    assert {standing.state for standing in last.standings} == {State.UNDECIDED}


def test_equal_parts_are_told_each_as_it_was_typed(qualified):
    """Bars at 4.5000 in are not answered with the neighbour's 4.5 in."""
    with clock_at("2026-07-18 09:00"):
        for order, typed in enumerate(("4.5 in", "4.5000 in"), start=8):
            close = bars(spacing=typed).to_json()
            make_part(qualified.admin, f"T{order}", order=order, reinforcement=close)
    rows = {
        row.code: row for row in matrix(qualified.job, as_of=NOW, known_at=NOW).rows
    }
    told = []
    for code in ("T8", "T9"):
        alone = operator_standing(
            qualified.job,
            operator=qualified.operator,
            part=rows[code].part.part,
            start=NOW,
            known_at=NOW,
        )
        assert rows[code].standings[0].verdict == alone
        told.append(alone.reasons[3].found)
    assert told[0] != told[1]
