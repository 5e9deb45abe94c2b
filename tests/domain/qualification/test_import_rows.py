"""Rows of a file of operators and cards: each fault, and what stands beside the record."""

from __future__ import annotations

from dataclasses import replace
from datetime import UTC, date, datetime
from uuid import UUID

import pytest

from crews.domain.certification import Card
from crews.domain.import_outcomes import (
    OnRecord,
    RowState,
    outcome_digest,
    outcomes,
)
from crews.domain.operator_import import (
    CARD_COLUMNS,
    Cells,
    Column,
    Fault,
    TypedRow,
    read_row,
)
from tests.support.tables import cases

TODAY = date(2026, 9, 14)
ROW = {
    Column.BADGE: "B-104",
    Column.NAME: "Noor Castellane",
    Column.SCHEME: "CP-60",
    Column.NUMBER: "WV-2210",
    Column.METHOD: "hand",
    Column.LEVEL: "full",
    Column.CLASSES: "wet vertical, wet overhead",
    Column.ISSUED: "2024-05-01",
    Column.EXPIRES: "2029-05-01",
}
ALONE = {Column.BADGE: "B-104", Column.NAME: "Noor Castellane"}


@cases("import_cells")
def test_one_cell_that_differs_is_taken_or_told(row):
    read = read_row(Cells(2, ROW | {row["column"]: row["value"]}), today=TODAY)
    if not row["says"]:
        assert isinstance(read, TypedRow), read
        return
    assert isinstance(read, tuple), "a fault was taken"
    assert [fault.column for fault in read] == [row["faulted"]]
    assert row["says"] in read[0].words


def test_every_fault_of_a_row_is_told_not_the_first():
    cells = dict.fromkeys(Column, "") | {Column.LEVEL: "?"}
    read = read_row(Cells(2, cells), today=TODAY)
    assert isinstance(read, tuple)
    assert {fault.column for fault in read} == set(Column)


def test_a_cell_that_was_not_read_is_told_once_and_makes_the_row_a_card():
    lost = Fault(Column.ISSUED, "45413 is a number; allowed is a date cell")
    cells = {k: v for k, v in ROW.items() if k is not Column.ISSUED}
    assert read_row(Cells(2, cells, (lost,)), today=TODAY) == (lost,)
    alone = read_row(Cells(2, ALONE, (lost,)), today=TODAY)
    assert isinstance(alone, tuple)
    assert {fault.column for fault in alone} == set(CARD_COLUMNS)


def _card(**changes):
    read = read_row(Cells(2, ROW), today=TODAY)
    assert isinstance(read, TypedRow)
    face = read.card
    card = Card(
        id=UUID(int=7),
        recorded_at=datetime(2026, 7, 13, tzinfo=UTC),
        scheme=face.scheme,
        number=face.number,
        method=face.method,
        level=face.level,
        classes=face.classes,
        issued_on=face.issued_on,
        expires_on=face.expires_on,
        verified_on=date(2026, 7, 13),
    )
    return replace(card, **changes)


def _known(*cards, badge="B-104", name="Noor Castellane", aliases=(), id=1):
    return OnRecord(UUID(int=id), badge, name, aliases, cards)


def _become(rows, *record):
    cells = [Cells(n, row) for n, row in enumerate(rows, start=2)]
    return outcomes(cells, record=record, today=TODAY)


def _said(outcome):
    return " / ".join(str(fault) for fault in outcome.faults)


def test_a_badge_not_on_record_is_a_new_operator_with_the_card():
    (row,) = _become([ROW])
    assert row.state is RowState.NEW_OPERATOR
    assert row.card.number == "WV-2210"
    assert (row.operator, row.supersedes, row.remarks) == (None, None, ())


def test_a_second_card_of_a_new_operator_is_a_new_card():
    second = ROW | {Column.NUMBER: "DV-1", Column.CLASSES: "dry vertical"}
    states = [row.state for row in _become([ROW, second])]
    assert states == [RowState.NEW_OPERATOR, RowState.NEW_CARD]


def test_the_same_card_again_changes_nothing_whoever_verified_it():
    (row,) = _become([ROW], _known(_card()))
    assert row.state is RowState.UNCHANGED
    (alone,) = _become([ALONE], _known())
    assert alone.state is RowState.UNCHANGED


@pytest.mark.parametrize(
    ("cell", "value", "before", "after"),
    [
        (Column.EXPIRES, "2028-05-01", "2029-05-01", "2028-05-01"),
        (Column.NUMBER, "wv-2210", "WV-2210", "wv-2210"),
        (Column.CLASSES, "wet vertical", "wet overhead, wet vertical", "wet vertical"),
    ],
)
def test_a_card_that_the_file_says_otherwise_supersedes(cell, value, before, after):
    (row,) = _become([ROW | {cell: value}], _known(_card()))
    assert row.state is RowState.CHANGED
    assert row.supersedes == UUID(int=7)
    (change,) = row.changes
    assert (change.column, change.before, change.after) == (cell, before, after)
    assert row.remarks == ()  # it does not overlap itself


def test_another_day_of_issue_is_a_renewed_card_beside_the_old_one():
    renewed = ROW | {Column.ISSUED: "2026-09-01", Column.EXPIRES: "2031-09-01"}
    (row,) = _become([renewed], _known(_card()))
    assert row.state is RowState.NEW_CARD
    assert row.remarks == ("Overlaps card WV-2210, 2024-05-01 to 2029-05-01",)


@pytest.mark.parametrize(
    ("expires", "remarks"), [("2024-04-30", 0), ("2024-05-01", 1), ("2024-05-02", 1)]
)
def test_cards_overlap_from_the_first_day_they_share(expires, remarks):
    earlier = ROW | {Column.NUMBER: "W-0", Column.ISSUED: "2020-01-01"}
    (row,) = _become([earlier | {Column.EXPIRES: expires}], _known(_card()))
    assert len(row.remarks) == remarks


def test_cards_for_other_work_do_not_overlap():
    dry = ROW | {Column.NUMBER: "D-0", Column.CLASSES: "dry vertical"}
    (row,) = _become([dry], _known(_card()))
    assert row.remarks == ()


def test_a_badge_under_another_name_is_a_conflict():
    (row,) = _become([ROW | {Column.NAME: "Noor Castelane"}], _known())
    assert row.state is RowState.REFUSED
    assert _said(row) == (
        "legal name: Noor Castelane; badge B-104 is Noor Castellane on record,"
        " allowed is that name or another badge"
    )


@pytest.mark.parametrize("name", ["NOOR  castellane", "N. Castellane"])
def test_a_name_counts_in_any_case_and_by_spellings_on_record(name):
    known = _known(_card(), aliases=("N. Castellane",))
    (row,) = _become([ROW | {Column.NAME: name}], known)
    assert row.state is RowState.UNCHANGED


def test_a_name_alone_matches_nobody():
    (row,) = _become([ROW | {Column.BADGE: "B-900"}], _known())
    assert row.state is RowState.NEW_OPERATOR
    assert row.operator is None
    assert row.remarks == ("The same name as badge B-104: is it one person?",)


def test_two_new_badges_of_one_name_in_a_file_are_told():
    rows = [ALONE, ALONE | {Column.BADGE: "B-105"}]
    first, second = _become(rows)
    assert (first.remarks, second.state) == ((), RowState.NEW_OPERATOR)
    assert second.remarks == ("The same name as badge B-104: is it one person?",)


def test_a_badge_in_other_letters_is_told_and_not_a_second_operator():
    (row,) = _become([ROW | {Column.BADGE: "b-104"}], _known())
    assert _said(row) == (
        "badge number: b-104 is written B-104; allowed is that, or another"
    )


def test_one_badge_under_two_names_in_a_file_is_refused():
    _first, second = _become([ROW, ALONE | {Column.NAME: "Somebody Else"}])
    assert "badge B-104 is Noor Castellane in row 2" in _said(second)


def test_a_card_twice_in_a_file_is_refused():
    _first, second = _become([ROW, ROW | {Column.EXPIRES: "2028-05-01"}])
    assert "issued 2024-05-01, stands in row 2 already" in _said(second)
    other = ROW | {Column.BADGE: "B-9", Column.NAME: "Somebody Else"}
    _first, second = _become([ROW, other])
    assert "stands in row 2 already" in _said(second)


def test_a_card_of_another_badge_is_refused():
    other = _known(_card(), badge="B-9", name="Somebody Else", id=2)
    (row,) = _become([ROW], _known(), other)
    assert "is the card of badge B-9; allowed is one's own" in _said(row)


def test_a_card_that_was_taken_back_stays_so_but_where_another_stands():
    back = replace(_known(), taken_back=(_card(withdrawn=True),))
    (row,) = _become([ROW], back)
    assert "was taken back on record; allowed is a card that stands" in _said(row)
    (row,) = _become([ROW], replace(back, cards=(_card(id=UUID(int=8)),)))
    assert row.state is RowState.UNCHANGED


def test_who_has_no_card_stands_in_one_row():
    _first, second = _become([ALONE, ALONE])
    assert "B-104 stands in row 2 already" in _said(second)
    _first, second = _become([ALONE, ROW])
    assert second.state is RowState.NEW_CARD


def test_the_digest_follows_the_file_the_rows_and_the_record():
    plain = _become([ROW])
    digests = {
        outcome_digest(plain, file="one"),
        outcome_digest(plain, file="two"),
        outcome_digest(_become([ROW | {Column.NAME: ""}]), file="one"),
        outcome_digest(_become([ROW], _known(_card())), file="one"),
        outcome_digest(
            _become([ROW], _known(_card(expires_on=date(2028, 1, 1)))), file="one"
        ),
        outcome_digest(
            _become([ROW], _known(_card(expires_on=date(2028, 1, 2)))), file="one"
        ),
    }
    assert len(digests) == 6
    assert outcome_digest(_become([ROW]), file="one") in digests


def test_an_outcome_prints_what_its_card_prints_and_nothing_without_one():
    (with_card,) = _become([ROW])
    assert with_card.prints == "wet overhead, wet vertical"
