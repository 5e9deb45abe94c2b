"""A write-once table cannot be emptied; copies of the database stand in for that."""

from __future__ import annotations

import threading
import urllib.error
import urllib.request

import pytest
from django.db import DatabaseError, connection, transaction

# The bluntest write-once table of each engine, so that this needs no model of ours.
_TABLE = "CREATE TABLE scratch (word varchar(20) NOT NULL)"
_TRIGGERS = {
    "sqlite": (
        """CREATE TRIGGER scratch_kept BEFORE DELETE ON scratch
           BEGIN SELECT RAISE(ABORT, 'scratch is written once'); END""",
    ),
    "postgresql": (
        """CREATE FUNCTION scratch_kept() RETURNS trigger LANGUAGE plpgsql AS
           $$ BEGIN RAISE EXCEPTION 'scratch is written once'; END $$""",
        """CREATE TRIGGER scratch_kept BEFORE DELETE ON scratch
           FOR EACH ROW EXECUTE FUNCTION scratch_kept()""",
        """CREATE TRIGGER scratch_whole BEFORE TRUNCATE ON scratch
           EXECUTE FUNCTION scratch_kept()""",
    ),
}


def _run(*statements: str) -> None:
    with connection.cursor() as cursor:
        for statement in statements:
            cursor.execute(statement)


def _words() -> list[str]:
    with connection.cursor() as cursor:
        cursor.execute("SELECT word FROM scratch ORDER BY word")
        return [word for (word,) in cursor.fetchall()]


@pytest.fixture(scope="module")
def scratch(copies, django_db_blocker):
    """A template with a write-once table that holds one row."""
    with django_db_blocker.unblock(), copies.use("empty"):
        _run(_TABLE, *_TRIGGERS[connection.vendor])
        _run("INSERT INTO scratch VALUES ('template')")
        copies.save("scratch")
    return "scratch"


@pytest.fixture
def opened(copies, scratch, django_db_blocker):
    """Opens a fresh copy of that template."""
    with django_db_blocker.unblock():
        yield lambda: copies.use(scratch)


def test_the_table_really_cannot_be_emptied(opened):
    with opened():
        with pytest.raises(DatabaseError, match="written once"):
            _run("DELETE FROM scratch")
        assert _words() == ["template"]


def test_what_one_copy_commits_the_next_never_sees(opened):
    with opened():
        with transaction.atomic():
            _run("INSERT INTO scratch VALUES ('committed')")
        assert _words() == ["committed", "template"]
    with opened():
        assert _words() == ["template"]


def test_another_thread_sees_the_same_copy(opened):
    seen = []

    def look():
        seen.extend(_words())
        connection.close()

    with opened():
        _run("INSERT INTO scratch VALUES ('committed')")
        thread = threading.Thread(target=look)
        thread.start()
        thread.join()
    assert seen == ["committed", "template"]


def test_the_copy_is_gone_and_the_first_database_is_back(opened, copies):
    with opened():
        fresh = connection.settings_dict["NAME"]
    assert connection.settings_dict["NAME"] != fresh
    assert "scratch" not in connection.introspection.table_names()
    assert "django_session" in connection.introspection.table_names()


def test_a_failing_test_leaves_the_first_database_in_place(opened):
    before = connection.settings_dict["NAME"]
    with pytest.raises(ZeroDivisionError), opened():
        _ = 1 / 0
    assert connection.settings_dict["NAME"] == before


def test_fresh_db_is_migrated_and_commits(fresh_db):
    _run(_TABLE, "INSERT INTO scratch VALUES ('here')")
    assert _words() == ["here"]
    assert "django_session" in connection.introspection.table_names()


def test_fresh_db_is_new_each_time(fresh_db):
    assert "scratch" not in connection.introspection.table_names()


def test_ordinary_tests_still_roll_back_afterwards(db):
    assert "scratch" not in connection.introspection.table_names()
    assert connection.in_atomic_block


def test_a_live_site_answers_over_the_wire(live_site):
    with pytest.raises(urllib.error.HTTPError) as answer:
        urllib.request.urlopen(f"{live_site}/no-such-page/", timeout=10)
    with answer.value as page:
        assert page.status == 404
        assert "default-src 'none'" in page.headers["Content-Security-Policy"]
