"""The five packets of the built job say what the expected answers say of their weeks.

Source of every expected answer: tests/tables/expected.json (`weeks`), computed from the
facts by an independent reading of the rules; the words that are asked for are those of
the weeks themselves (a refused operator, a panel forgotten, a sheet not signed in time).
"""

from __future__ import annotations

import json
from datetime import date, timedelta
from decimal import Decimal
from io import BytesIO
from typing import Any

import pytest
from pypdf import PdfReader

from inspections.actions.packets import issued_file, store
from inspections.models import Move, Packet
from inspections.packet.gathering import Hands, gather, reading_of
from inspections.queries.packets import issued_packets
from project.actions.files import read_kept
from project.domain.canonical import canonical
from project.queries.jobs import now_on
from tests.journeys.conftest import WANTED

WEEKS = [week for week in WANTED["weeks"] if week["state"] == "issued"]
ids = [week["packet"] for week in WEEKS]


def _packet(week: dict[str, Any]) -> Packet:
    return Packet.objects.get(from_on=date.fromisoformat(week["week_from"]))


def _snapshot(week: dict[str, Any]) -> dict[str, Any]:
    digest = _packet(week).snapshot_sha256
    return json.loads(read_kept(store(), digest, suffix=".json"))


def _this_week(snapshot: dict[str, Any]) -> dict[str, Decimal]:
    return {row["label"]: Decimal(row["week"]) for row in snapshot["figures"]}


@pytest.mark.parametrize("week", WEEKS, ids=ids)
def test_the_figures_on_the_cover_are_the_weeks(demo, week):
    assert _packet(week).code == week["packet"]
    said = _this_week(_snapshot(week))
    assert said["Shifts worked"] == week["shifts"]
    assert said["Placed, neat, yd³"] == week["neat_yd3"]
    assert said["Delivered and accepted, yd³"] == week["delivered_yd3"]
    assert said["Panels owed"] == week["panels_owed"]
    assert said["Panels shot"] == week["panels_shot"]
    assert said["Nonconformance reports raised"] == len(week["ncrs_raised"])
    assert said["closed"] == len(week["ncrs_closed"])


@pytest.mark.parametrize("week", WEEKS, ids=ids)
def test_the_columns_on_the_cover_add_up(demo, week):
    for row in _snapshot(week)["figures"]:
        before, here = Decimal(row["before"]), Decimal(row["week"])
        assert before + here == Decimal(row["to_date"]), row


@pytest.mark.parametrize("week", WEEKS, ids=ids)
def test_what_is_open_and_what_is_missing_at_the_cut(demo, week):
    snapshot = _snapshot(week)
    assert [row["record"] for row in snapshot["decide"]] == week["ncrs_open_at_cut"]
    unsigned = [
        row["what"].split(",")[0]
        for row in snapshot["missing"]
        if row["why"] == "not signed by the cut"
    ]
    assert unsigned == week["reports_missing"]
    reports = {row["number"]: row["mark"] for row in snapshot["sections"]["reports"]}
    assert not set(reports) & set(week["reports_missing"])


def test_a_sheet_signed_after_its_cut_is_carried_into_the_next_packet(demo):
    fourth, fifth = (_snapshot(week) for week in WEEKS[3:5])
    numbers = [row["number"] for row in fifth["sections"]["reports"]]
    assert numbers == [f"DFR-0{n}" for n in (19, 20, 21, 22, 23, 24)]
    assert len(fourth["sections"]["reports"]) == 4


def test_a_sheet_signed_and_not_reviewed_at_the_cut_is_in_and_listed(demo):
    second = _snapshot(WEEKS[1])
    assert "DFR-009" in [row["number"] for row in second["sections"]["reports"]]
    listed = {row["what"]: row["why"] for row in second["missing"]}
    assert listed["DFR-009"] == "signed, not yet reviewed by a second person"


def test_the_second_week_says_who_shot_unqualified_and_which_panel_is_missing(demo):
    snapshot = _snapshot(WEEKS[1])
    assert snapshot["sentence"] == (
        "One nozzle time was shot by an operator not qualified on record."
        " One panel owed was not shot."
        " One nonconformance report is open, the oldest 3 days."
        " One daily field report waits for its review."
    )
    (refused,) = snapshot["sections"]["roster"]["not_qualified"]
    told = [refused[key] for key in ("operator", "placement", "volume", "report")]
    assert told == ["OP-02", "PL-008", "4.5\u00a0yd³", "NCR-002"]
    missing = [
        row for row in snapshot["sections"]["ledger"]["owed"] if not row["panel"]
    ]
    assert [(row["operator"], row["work_date"]) for row in missing] == [
        ("OP-02", "2026-08-13")
    ]


def test_what_was_learned_later_stands_beside_and_never_instead(demo):
    """OP-03's card was found to have ended after PK-03 was issued."""
    third, fourth = (_snapshot(week) for week in WEEKS[2:4])
    frozen = {
        (row["placement"], row["operator"]): row["mark"]["stamp"]
        for shift in third["sections"]["roster"]["shifts"]
        for row in shift["rows"]
    }
    assert frozen["PL-013", "OP-03"] == "qualified"
    assert third["sections"]["roster"]["not_qualified"] == []
    assert third["summary"]["news"] == []
    (news,) = fourth["summary"]["news"]
    assert news.startswith("OP-03 Ranjit Sohalwal on R3-upper-right, PL-013, 20 Aug")
    assert "not qualified on record as known at the cut. WV-36640: not in force" in news


def test_each_was_prepared_reviewed_and_issued_as_the_scenario_tells(demo):
    rows = issued_packets(demo, known_at=now_on(demo))
    assert [row.code for row in rows] == ids[::-1]
    for row in rows:
        assert row.reviewed is not None
        assert row.issued is not None
        assert row.reviewed.recorded_by.user_id != row.row.recorded_by.user_id
        assert row.issued.evidence["file_sha256"] == row.row.file_sha256
    third = Packet.objects.get(number=3)
    assert third.recorded_by.user.printed_name == "Farrukh Baigzada"
    assert Move.objects.filter(packet__isnull=False).count() == 2 * len(ids)


def test_the_snapshot_is_canonical_and_lists_its_records_by_hash(demo):
    for week in WEEKS:
        packet, snapshot = _packet(week), _snapshot(week)
        kept = read_kept(store(), packet.snapshot_sha256, suffix=".json").decode()
        assert canonical(snapshot) == kept
        listed = {row["id"]: row["sha256"] for row in snapshot["records"]}
        rows = packet.records.values_list("record_id", "sha256")
        assert listed == {str(pk): sha256 for pk, sha256 in rows}
        assert snapshot["cut"]["seq"] > 0


def test_the_second_weeks_file_is_text_with_bookmarks_and_pages_counted(demo):
    packet = Packet.objects.get(number=2)
    reader = PdfReader(BytesIO(issued_file(packet)))
    texts = [" ".join(page.extract_text().split()) for page in reader.pages]
    assert len(texts) == packet.pages
    for n, text in enumerate(texts, start=1):
        assert f"page {n} of {len(texts)}" in text
    every = "\n".join(texts)
    days = [packet.from_on + timedelta(days=n) for n in range(5)]
    for found in ("Oluwaseun", "NCR-002", "TP-010", "DFR-009", "66.0", "77.16"):
        assert found in every
    titles = [item.title for item in reader.outline if not isinstance(item, list)]
    assert titles[0] == "Cover"
    assert "Record page" in titles
    nested = [
        item.title for part in reader.outline if isinstance(part, list) for item in part
    ]
    assert len(nested) == len(days)


def test_the_file_names_the_settings_its_strengths_were_made_under(demo):
    packet = Packet.objects.get(number=5, revision=0)
    reader = PdfReader(BytesIO(issued_file(packet)))
    every = " ".join(" ".join(p.extract_text().split()) for p in reader.pages)
    _before, told, settings = every.partition("Settings these figures were made under")
    assert told
    # The contract compares strictly and corrects a core of 1.75 or less.
    assert "Shares are compared strict project's choice" in settings
    assert "Corrected where length over diameter is 1.75 or less" in settings
    # Beside each set from the third on stands the mean of three (ACI 318-19 judges it;
    # these terms do not ask for it, so nothing is said of a run).
    series = _snapshot({"week_from": packet.from_on.isoformat()})["sections"][
        "strength"
    ]
    (wet,) = (one for one in series if one["mix"] == "W-45A rev 2")
    assert [row["running"] == "" for row in wet["sets"]][:3] == [True, True, False]
    assert wet["run"] == ""


def test_a_revision_of_the_third_week_tells_what_turned_and_of_no_other_week(demo):
    packet = Packet.objects.get(number=3)
    reading = reading_of(
        demo,
        packet.recorded_by,
        first=packet.from_on,
        last=packet.to_on,
        known_at=now_on(demo),
    )
    told = gather(
        reading,
        number=3,
        revision=1,
        hands=Hands(prepared=(packet.recorded_by, now_on(demo))),
        reason="a card was corrected",
        before=list(packet.records.all()),
    ).snapshot
    assert told["sentence"].startswith(
        "One nozzle time was qualified on record when it began and is not by now."
        " One nonconformance report is open"
    )
    assert told["sections"]["roster"]["not_qualified"] == []
    assert [row["record"] for row in told["decide"]] == ["NCR-003"]
    assert [row["record"] for row in told["changes"]] == [
        "nonconformance report NCR-003"
    ]
    assert [line.split(",")[0] for line in told["summary"]["news"]] == [
        "OP-03 Ranjit Sohalwal on R3-upper-right",
        "Nonconformance report NCR-003: not on record then.",
    ]
    before = {row["label"]: row for row in _snapshot(WEEKS[2])["figures"]}
    assert {row["label"]: row for row in told["figures"]} == before
    shot = {row["panel"] for row in told["sections"]["ledger"]["panels"]}
    assert "TP-015" in shot
    assert "TP-016" not in shot  # of the week after
