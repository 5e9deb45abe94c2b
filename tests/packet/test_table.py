"""Ruled tables: widths, page turns, closing rows, rows that belong together."""

from __future__ import annotations

from datetime import UTC, datetime
from io import BytesIO

import pytest
from pypdf import PdfReader

from inspections.packet.columns import GAP, Cell, Column, fit_columns
from inspections.packet.faces import TEXT, width
from inspections.packet.flow import BODY, PAPERS, Flow, Footing
from inspections.packet.table import table
from inspections.packet.writer import About, Writer

_ABOUT = About("t", "a", "s", "k", "en", datetime(2026, 8, 17, tzinfo=UTC))


class Pages:
    """A flow into memory, read back as the lines of each page."""

    def __init__(self) -> None:
        self._file = BytesIO()
        self.writer = Writer(self._file, size=PAPERS["Letter"], about=_ABOUT)
        self.flow = Flow(self.writer, Footing("foot", "hash", draft=False, digits=1))
        self.flow.start_page("Sheet")

    def read(self) -> list[list[str]]:
        self.flow.finish()
        self.writer.save()
        pages = PdfReader(BytesIO(self._file.getvalue())).pages
        return [page.extract_text().split("\n") for page in pages]


@pytest.fixture
def pages() -> Pages:
    return Pages()


def test_heads_repeat_on_every_page_and_no_row_is_lost(pages: Pages) -> None:
    rows = [(f"TP-{n:03d}", str(n)) for n in range(120)]
    table(pages.flow, [Column("Panel"), Column("Count", right=True)], rows)
    read = pages.read()
    assert len(read) == 4
    assert all(sum("PANEL" in line for line in page) == 1 for page in read)
    found = [line for page in read for line in page if line.startswith("TP-")]
    assert [line[:6] for line in found] == [row[0] for row in rows]


@pytest.mark.parametrize("count", range(34, 42))
def test_closing_rows_never_stand_alone(pages: Pages, count: int) -> None:
    rows = [(f"TP-{n:03d}", str(n)) for n in range(count)]
    closing = [("This week", "1"), ("To date", "2")]
    columns = [Column("Panel"), Column("Count", right=True)]
    table(pages.flow, columns, rows, closing=closing)
    last = pages.read()[-1]
    assert any(line.startswith("TP-") for line in last)
    assert sum("This week" in line or "To date" in line for line in last) == 2


@pytest.mark.parametrize("count", range(30, 40))
def test_a_heading_never_parts_from_its_first_rows(pages: Pages, count: int) -> None:
    pages.flow.used(count * 17.0)
    rows = [(f"TP-{n:03d}", str(n)) for n in range(5)]
    columns = [Column("Panel"), Column("Count", right=True)]
    table(pages.flow, columns, rows, heading="Every panel")
    page = next(page for page in pages.read() if "Every panel" in page)
    assert sum(line.startswith("TP-") for line in page) >= 2


def test_rows_of_one_thing_stay_on_one_page(pages: Pages) -> None:
    rows = [
        (f"TP-{n:03d}" if m == 0 else "", f"reason {n}.{m}")
        for n in range(40)
        for m in range(3)
    ]
    table(pages.flow, [Column("Panel"), Column("Why", grow=1)], rows)
    for page in pages.read():
        reasons = [line for line in page if "reason" in line]
        assert len(reasons) % 3 == 0


def test_a_row_higher_than_a_page_is_cut_between_lines(pages: Pages) -> None:
    words = " ".join(f"word{n}" for n in range(2000))
    columns = [Column("Panel"), Column("Remark", grow=1)]
    table(pages.flow, columns, [("TP-001", words), ("TP-002", "short")])
    read = pages.read()
    assert len(read) > 2
    text = " ".join(line for page in read for line in page)
    assert all(f"word{n} " in text or f"word{n}\n" in text for n in range(1999))
    assert "TP-002" in " ".join(read[-1])


def test_a_column_nobody_fills_is_left_out(pages: Pages) -> None:
    columns = [Column("Panel"), Column("Flags"), Column("Count", right=True)]
    table(pages.flow, columns, [("TP-001", "", "1"), ("TP-002", None, "2")])
    assert "FLAGS" not in " ".join(pages.read()[0])


def test_columns_and_gaps_fill_the_room() -> None:
    columns = [Column("A"), Column("B", grow=1), Column("C", right=True)]
    rows = [("TP-001", "words that may wrap " * 8, "3,310")]
    widths = fit_columns(columns, rows, [], 500.0)
    assert sum(widths) + 2 * GAP == pytest.approx(500.0)
    assert widths[0] >= width("TP-001", TEXT, BODY.size)


def test_a_code_too_wide_for_all_breaks_before_a_short_word_does() -> None:
    code = "R3-LOWER-LIFT-STATION-0120-0180-NORTH-WING"
    columns = [Column("Ticket", most=0.9)] + [Column("N", right=True)] * 8
    rows = [(code, *["accepted"] * 8)]
    widths = fit_columns(columns, rows, [], 513.0)
    assert sum(widths) + 8 * GAP == pytest.approx(513.0)
    short = width("accepted", TEXT, BODY.size)
    assert all(wide >= short - 0.01 for wide in widths[1:])


def test_evidence_stands_under_its_entry(pages: Pages) -> None:
    columns = [Column("Requirement", grow=1), Column("Found", grow=1)]
    table(
        pages.flow, columns, [(Cell("card", second="contract"), "wet without overhead")]
    )
    lines = pages.read()[0]
    assert lines.index("card") + 1 == lines.index("contract")
