"""Who may shoot what: each operator by each part, told as it was typed."""

from __future__ import annotations

from datetime import date
from html.parser import HTMLParser
from types import SimpleNamespace
from urllib.parse import parse_qs, urlencode, urlsplit

from crews.queries.matrix import matrix
from crews.queries.qualification import operator_standing
from crews.templatetags.matrix import part_rows
from crews.views.operators import Cell
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


def test_a_row_of_squares_says_hostile_codes_as_they_are():
    """Braces are no places to fill, and nothing of a code becomes markup."""
    hostile = """a<b>"'{url}{x}&%é"""
    part = SimpleNamespace(position="vertical")
    row = SimpleNamespace(part=part, mix=hostile, code=hostile)
    cells = (
        Cell(hostile, State.PASS, date(2026, 9, 30)),
        Cell("OP-2", State.FAIL, None),
    )
    fold = SimpleNamespace(codes=(hostile,), first=row, count=0)
    url = "?" + urlencode({"part": hostile})
    line = SimpleNamespace(fold=fold, url=url, cells=cells, chosen=hostile)
    drawn = _Drawn()
    drawn.feed(part_rows([line]))
    assert [tag for tag, _ in drawn.tags if tag not in ("span", "svg", "use")] == [
        *("tr", "th", "td", "a", "td", "a", "td"),
    ]
    links = [dict(given) for tag, given in drawn.tags if tag == "a"]
    asked = [parse_qs(urlsplit(link["href"]).query) for link in links]
    assert asked == [
        {"part": [hostile], "operator": [hostile]},
        {"part": [hostile], "operator": ["OP-2"]},
    ]
    assert [link.get("aria-current") for link in links] == ["true", None]
    text = " ".join("".join(drawn.texts).split())
    assert text.startswith(f"{hostile} vertical {hostile}{hostile}, {hostile}:")
    assert text.endswith(f"{hostile}, OP-2: none")


class _Drawn(HTMLParser):
    """What a reader of the page makes of it."""

    def __init__(self) -> None:
        super().__init__()
        self.tags: list[tuple[str, list[tuple[str, str | None]]]] = []
        self.texts: list[str] = []

    def handle_starttag(self, tag, attrs):
        self.tags.append((tag, attrs))

    def handle_data(self, data):
        self.texts.append(data)
