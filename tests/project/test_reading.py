"""One reading asks once for what was known at an instant, and for nothing less."""

from __future__ import annotations

from datetime import timedelta

from project.actions.jobs import revise_mix
from project.models import new_id
from project.queries.jobs import mixes, now_on, parts, terms_revisions
from project.queries.reading import one_reading
from tests.project.conftest import MIX_FACTS


def _another(book):
    return revise_mix(
        id=new_id(),
        by=book.admin,
        code="W-2",
        revision=1,
        **MIX_FACTS,
    )


def test_a_reading_asks_once_for_each_kind_and_instant(book, django_assert_num_queries):
    at = now_on(book.job)
    with one_reading():
        with django_assert_num_queries(3):
            first = [
                read(book.job, known_at=at) for read in (mixes, parts, terms_revisions)
            ]
        with django_assert_num_queries(0):
            again = [
                read(book.job, known_at=at) for read in (mixes, parts, terms_revisions)
            ]
        assert again == first
        with django_assert_num_queries(1):
            assert mixes(book.job, known_at=at - timedelta(days=365)) == []
        with django_assert_num_queries(0), one_reading():
            mixes(book.job, known_at=at)
    with django_assert_num_queries(1):
        mixes(book.job, known_at=at)


def test_whoever_changes_the_list_changes_only_their_own(book):
    at = now_on(book.job)
    with one_reading():
        mixes(book.job, known_at=at).clear()
        assert [mix.code for mix in mixes(book.job, known_at=at)] == ["W-1"]


def test_what_was_recorded_since_is_known_at_the_later_instant(book):
    before = now_on(book.job)
    with one_reading():
        assert len(mixes(book.job, known_at=before)) == 1
        _another(book)
        assert len(mixes(book.job, known_at=before)) == 1
        assert len(mixes(book.job, known_at=now_on(book.job))) == 2
