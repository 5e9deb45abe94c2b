"""Operators and cards from a file: one act for all rows, or nothing of it."""

from __future__ import annotations

from datetime import date
from uuid import UUID

import pytest
from django.core.exceptions import NON_FIELD_ERRORS, PermissionDenied
from django.db import connection
from django.test.utils import CaptureQueriesContext

from crews.actions.imports import Imported, import_operators
from crews.actions.people import edit_operator, withdraw_certification
from crews.models import Certification, Operator
from crews.queries.imports import laid_beside
from crews.queries.operator_files import people_on
from project.models import AuditEvent, new_id
from tests.crews.acts import lines, nothing_written, one_line, refused
from tests.crews.files import alone, csv_file, read, row
from tests.factories import at, clock_at

NOW = "2026-09-14 09:00"
TWO = csv_file([row(), row(badge="B-105", name="Ivo Sandoval", number="WV-2211")])


@pytest.fixture(autouse=True)
def september():
    with clock_at(NOW):
        yield


def _asked(site, raw=TWO, **given):
    file = read(raw)
    shown = laid_beside(
        file.rows,
        file=file.sha256,
        organization=given.get("organization", site.contractor),
        known_at=at("2026-09-15 00:00"),
        today=date(2026, 9, 14),
    )
    asked = {"id": new_id(), "by": site.qc, "organization": site.contractor}
    return asked | {"file": file, "digest": shown.digest} | given


def _in_force(**chosen):
    return Certification.objects.known_at(at("2026-09-15 00:00")).filter(**chosen)


def test_a_file_leaves_its_rows_and_one_line_that_names_the_file(site):
    asked = _asked(site)
    with one_line(site.contractor, "operators.imported"):
        assert import_operators(**asked) == Imported(2, 2, 0)
    card = _in_force(number="WV-2210").get()
    assert (card.operator.badge_number, card.operator.legal_name) == (
        "B-104",
        "Noor Castellane",
    )
    assert card.classes == [["wet", "overhead"], ["wet", "vertical"]]
    assert (card.verified_by, card.verified_on) == (None, None)
    assert card.recorded_by == site.qc.user
    line = lines(site.contractor.stream)[-1]
    assert line.payload["words"] == {
        "request": str(asked["id"]),
        "file": "cards.csv",
        "sha256": asked["file"].sha256,
        "operators": "2",
        "cards": "2",
        "corrected": "0",
    }
    assert len(line.payload["rows"]) == 4


def test_the_same_request_twice_makes_one_record(site):
    asked = _asked(site)
    first = import_operators(**asked)
    with nothing_written(site.contractor):
        assert import_operators(**asked) == first
    assert Operator.objects.filter(badge_number="B-104").count() == 1


def test_identities_follow_from_the_request_the_file_and_the_row(site):
    asked = _asked(site, id=UUID(int=9))
    import_operators(**asked)
    made = Operator.objects.get(badge_number="B-104").pk
    assert made.version == 5
    other = read(csv_file([row(badge="B-106", name="Ana Ruiz", number="W-3")]))
    asked = _asked(site, csv_file([row(badge="B-106", name="Ana Ruiz", number="W-3")]))
    assert asked["file"].sha256 == other.sha256
    import_operators(**asked | {"id": UUID(int=9)})  # sent before: nothing new
    assert not Operator.objects.filter(badge_number="B-106").exists()


def test_what_is_on_record_already_is_not_written_again(site):
    import_operators(**_asked(site))
    errors = refused(import_operators, **_asked(site))
    assert errors == {NON_FIELD_ERRORS: ["All of this file is on record already."]}


def test_a_card_that_the_file_says_otherwise_is_superseded_with_its_reason(site):
    card = _in_force(operator=site.operator).get()
    raw = csv_file(
        [
            row(
                badge="B-001",
                name="Bartosz Ilunga",
                number=card.number,
                classes="wet vertical",
                issued="2023-03-14",
                expires="2028-03-13",
            )
        ]
    )
    asked = _asked(site, raw)
    errors = refused(import_operators, **asked)
    assert "a reason is needed" in errors["reason"][0]
    with one_line(site.contractor, "operators.imported"):
        made = import_operators(**asked | {"reason": " Read from the card again. "})
    assert made == Imported(0, 0, 1)
    new = _in_force(operator=site.operator).get()
    assert (new.supersedes, new.first) == (card, card.first)
    assert (new.expires_on, new.reason) == (
        date(2028, 3, 13),
        "Read from the card again.",
    )
    (person,) = people_on(site.job, operators=[site.operator])
    known = person.file.known_at(at("2026-09-15 09:00"))
    assert [one.expires_on for one in known.cards] == [date(2028, 3, 13)]


def test_a_card_that_was_taken_back_does_not_come_back_by_a_file(site):
    import_operators(**_asked(site))
    card = _in_force(number="WV-2210").get()
    withdraw_certification(id=new_id(), by=site.qc, card=card, reason="Revoked.")
    (told,) = refused(import_operators, **_asked(site))[NON_FIELD_ERRORS]
    assert told == (
        "Row 2, card number: WV-2210 of CP-60, issued 2024-05-01, was taken back on"
        " record; allowed is a card that stands"
    )


def test_a_record_that_moved_on_since_it_was_shown_saves_nothing(site):
    raw = csv_file([alone("B-001", "Bartosz Ilunga"), row()])
    asked = _asked(site, raw)
    edit_operator(
        by=site.qc,
        operator=site.operator,
        legal_name="Bartosz Ilunga",
        badge_number="B-999",
        aliases=[],
    )
    errors = refused(import_operators, **asked)
    assert "has changed since this was shown" in errors[NON_FIELD_ERRORS][0]
    assert not Operator.objects.filter(badge_number="B-104").exists()


def test_one_refused_row_keeps_all_of_a_file_out(site):
    raw = csv_file([row(), row(badge="B-105", number="W-3", expires="29-05-01")])
    errors = refused(import_operators, **_asked(site, raw))
    assert errors[NON_FIELD_ERRORS] == [
        "Row 3, last valid day: 29-05-01 is not a date; allowed is year-month-day"
        " with a four-digit year, such as 2026-08-19"
    ]
    assert not Operator.objects.filter(badge_number="B-104").exists()


def test_a_badge_of_another_firm_is_another_person(site):
    import_operators(**_asked(site))
    mine = Operator.objects.get(badge_number="B-104")
    theirs = _asked(
        site,
        csv_file([alone("B-104", "Somebody Else")]),
        by=site.other_qc,
        organization=site.other_contractor,
    )
    assert import_operators(**theirs) == Imported(1, 0, 0)
    mine.refresh_from_db()
    assert mine.legal_name == "Noor Castellane"
    assert Operator.objects.filter(badge_number="B-104").count() == 2


@pytest.mark.parametrize("who", ["other_qc", "engineer"])
def test_nobody_else_imports_for_a_firm(site, who):
    by = getattr(site, who)
    with nothing_written(), pytest.raises(PermissionDenied):
        import_operators(**_asked(site, by=by))


def _many(n, **changes):
    return csv_file(
        row(badge=f"B-{i:05}", name=f"Person {i}", number=f"W-{i:05}", **changes)
        for i in range(n)
    )


def test_five_thousand_rows_with_faults_save_nothing_and_each_is_told(site):
    raw = _many(5000, issued="24-05-01", level="master")
    errors = refused(import_operators, **_asked(site, raw))
    told = errors[NON_FIELD_ERRORS]
    assert len(told) == 10_000
    assert told[-1].startswith("Row 5001, issued: 24-05-01 is not a date")
    assert not Operator.objects.filter(badge_number__startswith="B-0000").exists()


@pytest.mark.slow
def test_five_thousand_rows_are_saved_in_one_act(site):
    asked = _asked(site, _many(5000))
    with one_line(site.contractor, "operators.imported"):
        assert import_operators(**asked) == Imported(5000, 5000, 0)
    longer = csv_file([row()])
    assert import_operators(**_asked(site, longer)) == Imported(1, 1, 0)


def test_more_rows_take_no_more_queries(site):
    def queries(n, prefix):
        raw = csv_file(
            row(badge=f"{prefix}-{i}", name=f"P {i}", number=f"{prefix}{i}")
            for i in range(n)
        )
        asked = _asked(site, raw)
        with CaptureQueriesContext(connection) as counted:
            import_operators(**asked)
        return len(counted)

    assert queries(3, "X") == queries(30, "Y")
    assert AuditEvent.objects.filter(verb="operators.imported").count() == 2
