"""A conclusion written down as plain values reads back as the same conclusion."""

from __future__ import annotations

import json
from datetime import UTC, datetime
from decimal import Decimal

import pytest
from hypothesis import given
from hypothesis import strategies as st

from project.domain.canonical import canonical
from project.domain.frozen import evidence_of, frozen, thawed
from project.domain.units import UNITS, Quantity
from project.domain.verdict import Known, Reason, Ref, Source, State, Verdict

words = st.text(min_size=0, max_size=12)
refs = st.builds(Ref, words, words, words)
quantities = st.none() | st.builds(
    Quantity, st.decimals("-9999", "9999", places=3), st.sampled_from(UNITS)
)
reasons = st.builds(
    Reason,
    key=words,
    requirement=words,
    state=st.sampled_from(State),
    found=words,
    source=st.builds(Source, words, words, words, st.sampled_from(Known)),
    limit=quantities,
    margin=quantities,
    evidence=st.lists(refs, max_size=3).map(tuple),
)
verdicts = st.builds(
    Verdict,
    st.sampled_from(State),
    words,
    st.lists(reasons, max_size=4).map(tuple),
    holds_until=st.none() | st.datetimes(timezones=st.just(UTC)),
    ends_because=words,
    working=st.none(),
)


@given(verdict=verdicts)
def test_a_verdict_comes_back_whole_through_a_json_column(verdict):
    column = json.loads(json.dumps(frozen(verdict)))
    assert thawed(column) == verdict
    assert canonical(column) == canonical(frozen(verdict))


def test_a_number_keeps_the_zeros_it_was_typed_with():
    reason = Reason(
        "mean",
        "",
        State.PASS,
        "",
        Source("contract", known=Known.CONTRACT),
        limit=Quantity(Decimal("2.50"), "in"),
    )
    again = thawed(frozen(Verdict(State.PASS, "", (reason,))))
    assert str(again.reasons[0].limit) == "2.50 in"


def test_an_instant_without_a_zone_is_refused():
    naive = datetime(2026, 8, 4, 7, 10)  # noqa: DTZ001
    with pytest.raises(ValueError, match="zone"):
        frozen(Verdict(State.PASS, "", holds_until=naive))


def test_evidence_is_named_once_in_the_order_of_the_reasons():
    one, two = Ref("card", "1", "a"), Ref("card", "2", "b")
    source = Source("contract", known=Known.CONTRACT)
    listed = tuple(
        Reason("", "", State.PASS, "", source, evidence=e)
        for e in ((one,), (two, one), ())
    )
    assert evidence_of(Verdict(State.PASS, "", listed)) == (one, two)
