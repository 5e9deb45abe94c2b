"""Facts and lines stay as written, and whatever goes round the guard is found."""

from __future__ import annotations

import json
from datetime import date
from io import StringIO

import pytest
from django.core.management import call_command
from django.db import IntegrityError, InternalError, connection, transaction

from project.actions.jobs import approve_mix
from project.audit import verify_stream
from project.audit.chain import row_digest
from project.audit.write_once import (
    check_triggers,
    faults,
    guarded_models,
    install,
    missing,
)
from project.models import AuditEvent, AuditHead, MixRevision, new_id

# PostgreSQL reports a trigger's own exception under the class its code names.
REFUSED = (IntegrityError, InternalError)


def _sql(statement: str, *values: object) -> int:
    with connection.cursor() as cursor:
        cursor.execute(statement, values)
        return cursor.rowcount


def _refuses(statement: str, *values: object) -> None:
    with pytest.raises(REFUSED, match="written once"), transaction.atomic():
        _sql(statement, *values)


def _settle() -> None:
    """Ask PostgreSQL for its deferred foreign keys now: it alters no table before."""
    if connection.vendor == "postgresql":
        _sql("SET CONSTRAINTS ALL IMMEDIATE")


def _off(table: str) -> None:
    """Take the guard away, as somebody with the database's own keys could."""
    _settle()
    if connection.vendor == "postgresql":
        _sql(f'ALTER TABLE "{table}" DISABLE TRIGGER USER')
    else:
        for name in ("change", "fill", "delete", "replace"):
            _sql(f'DROP TRIGGER IF EXISTS "{table}_{name}"')


@pytest.fixture
def unguarded(book):
    """Every table without its triggers; a fresh transaction brings them back."""
    for model in guarded_models():
        _off(model._meta.db_table)
    return book


def test_every_written_once_table_is_guarded(db):
    assert missing(connection) == []
    assert len(guarded_models()) > 30


def test_a_missing_guard_is_named(book):
    _off("project_mixrevision")
    assert missing(connection) == ["project_mixrevision"]
    install(connection)
    assert missing(connection) == []


def test_change_and_delete_are_refused_whoever_asks(book):
    _refuses("UPDATE project_mixrevision SET code = 'W-9'")
    _refuses("DELETE FROM project_mixrevision")
    _refuses("UPDATE project_auditevent SET verb = 'nothing.happened'")
    _refuses("DELETE FROM project_auditevent")
    with pytest.raises(REFUSED), transaction.atomic():
        MixRevision.objects.update(code="W-9")
    with pytest.raises(REFUSED), transaction.atomic():
        MixRevision.objects.all().delete()


def test_what_only_postgresql_offers_is_refused_too(book):
    if connection.vendor == "postgresql":
        _settle()
        _refuses("TRUNCATE project_mixrevision CASCADE")
        with transaction.atomic():
            _sql("SET LOCAL session_replication_role = replica")
            _refuses("UPDATE project_mixrevision SET code = 'W-9'")
    else:
        _sql("PRAGMA recursive_triggers = OFF")
        copy = "INSERT OR REPLACE INTO project_mixrevision SELECT * FROM project_mixrevision"
        _refuses(copy)
        line = (
            "INSERT OR REPLACE INTO project_auditevent SELECT * FROM project_auditevent"
        )
        _refuses(line)
        _sql("PRAGMA recursive_triggers = ON")  # no rollback brings a pragma back


def test_verify_finds_a_changed_row_by_name(unguarded):
    _sql("UPDATE project_mixrevision SET description = 'better'")
    found = verify_stream(unguarded.job.stream)
    assert found is not None
    assert "W-1 rev 1" in str(found)
    assert "was changed" in str(found)


def test_verify_finds_a_row_that_no_act_wrote(unguarded):
    quiet = unguarded.mix.revised(id=new_id(), code="W-7")
    quiet.first = quiet.pk
    quiet.recorded_at, quiet.recorded_by = unguarded.mix.recorded_at, unguarded.admin
    quiet.save(force_insert=True)
    assert "written by no act" in str(verify_stream(unguarded.job.stream))


def test_verify_finds_a_row_that_is_gone(unguarded):
    _sql("DELETE FROM project_mixrevision")
    assert "is gone" in str(verify_stream(unguarded.job.stream))


@pytest.mark.parametrize(
    ("column", "value"),
    [
        ("verb", "mix.withdrawn"),
        ("actor_text", "Somebody else"),
        ("payload", json.dumps({"rows": []})),
        ("prev", "0" * 64),
        ("subject_text", "W-2 rev 1"),
    ],
)
def test_verify_finds_a_changed_line(unguarded, column, value):
    _sql(f"UPDATE project_auditevent SET {column} = %s WHERE seq = 2", value)
    found = verify_stream(unguarded.job.stream)
    assert found is not None
    assert found.seq == 2


def test_verify_finds_lines_that_changed_places(unguarded):
    _sql("UPDATE project_auditevent SET seq = 99 WHERE seq = 2")
    _sql("UPDATE project_auditevent SET seq = 2 WHERE seq = 3")
    _sql("UPDATE project_auditevent SET seq = 3 WHERE seq = 99")
    assert verify_stream(unguarded.job.stream) is not None


def test_a_cut_tail_is_found_with_a_printed_head(unguarded):
    head = AuditHead.objects.get(stream=unguarded.job.stream)
    printed = (head.seq, head.hash)
    AuditEvent.objects.filter(stream=head.stream, seq=head.seq).delete()
    last = AuditEvent.objects.filter(stream=head.stream).order_by("-seq")[0]
    AuditHead.objects.filter(pk=head.pk).update(seq=last.seq, hash=last.hash)
    MixRevision.objects.all().delete()
    assert verify_stream(head.stream) is None  # the chain alone cannot see it
    assert "tail is cut" in str(verify_stream(head.stream, head=printed))


def test_the_command_exits_1_and_names_the_break(unguarded):
    out = StringIO()
    _settle()
    install(connection)
    approve_mix(
        id=new_id(), by=unguarded.engineer, mix=unguarded.mix, on=date(2026, 7, 1)
    )
    call_command("verify_records", "J-1", stdout=out)
    assert "hold together" in out.getvalue()
    _off("project_mixrevision")
    _sql("UPDATE project_mixrevision SET description = 'better'")
    _settle()
    install(connection)
    said = StringIO()
    with pytest.raises(SystemExit) as stop:
        call_command("verify_records", "J-1", stderr=said)
    assert stop.value.code == 1
    assert "was changed" in said.getvalue()


def test_serving_is_refused_where_a_guard_is_missing(book):
    assert faults(connection) == []
    _off("project_mixrevision")
    assert faults(connection) == [
        "no write-once trigger on project_mixrevision: run manage.py migrate"
    ]
    warned = check_triggers(None, databases=["default"])
    assert [message.msg for message in warned] == [
        "no write-once trigger on project_mixrevision"
    ]


def test_a_column_that_came_later_counts_only_where_it_holds_something(monkeypatch):
    row = MixRevision(id=new_id(), code="W-1", revision=1, process="wet")
    before = row_digest(row)
    monkeypatch.setattr(MixRevision, "ADDED", frozenset({"withdrawn_on"}))
    without = row_digest(row)
    assert without != before
    row.withdrawn_on = date(2026, 8, 1)
    assert row_digest(row) != without
    monkeypatch.setattr(MixRevision, "ADDED", frozenset())
    assert row_digest(row) != before
