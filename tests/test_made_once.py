"""A history made once stands for each test as it was made, and not a test longer."""

from __future__ import annotations

import pytest

from project.models import Organization
from tests.factories import make_organization, make_user
from tests.support.made_once import Standing, made_once

MADE: list[str] = []


def _firm(code: str) -> Organization:
    MADE.append(code)
    root = make_user(f"Enters {code}", email=f"{code.lower()}@example.org")
    return make_organization(root, code, "owner", name="As made")


def _codes(blocker) -> list[str]:
    with blocker.unblock():
        return sorted(Organization.objects.values_list("code", flat=True))


@made_once
def firm():
    return _firm("FIRST")


@made_once
def both(firm):
    return [firm, _firm("SECOND")]


@pytest.mark.parametrize("turn", range(3))
def test_each_test_finds_it_as_it_was_made(firm, turn):
    row = Organization.objects.get(code="FIRST")
    assert (row.name, firm.name) == ("As made", "As made")
    Organization.objects.filter(pk=row.pk).update(name="Spoiled")
    firm.name = "Spoiled"
    assert MADE.count("FIRST") == 1


def test_what_grows_from_another_shares_its_rows(both, firm):
    assert both[0] is firm
    assert Organization.objects.count() == 2
    assert MADE == ["FIRST", "SECOND"]


def test_what_does_not_begin_the_next_is_taken_back(django_db_setup, django_db_blocker):
    standing = Standing(django_db_blocker)
    one = ("one", lambda: _firm("ONE"))
    two = ("two", lambda one: _firm("TWO"))
    other = ("two", lambda one: _firm("OTHER"))
    try:
        assert {*standing.stand([one, two])} == {"one", "two"}
        assert _codes(django_db_blocker) == ["ONE", "TWO"]
        standing.stand([one, other])
        assert _codes(django_db_blocker) == ["ONE", "OTHER"]
        assert MADE.count("ONE") == 1
        standing.keep([one])
        assert _codes(django_db_blocker) == ["ONE"]
    finally:
        standing.keep([])
        MADE.clear()
    assert _codes(django_db_blocker) == []


def test_a_history_that_cannot_be_made_leaves_nothing(
    django_db_setup, django_db_blocker
):
    def half() -> None:
        _firm("HALF")
        raise LookupError("no more")

    standing = Standing(django_db_blocker)
    try:
        with pytest.raises(LookupError, match="no more"):
            standing.stand([("half", half)])
        assert _codes(django_db_blocker) == []
    finally:
        standing.keep([])
        MADE.clear()
