"""The engineer's waivers: what they open, for how long, and what nobody waives."""

from __future__ import annotations

from datetime import date
from decimal import Decimal

import pytest
from django.core.exceptions import PermissionDenied
from django.db import IntegrityError, transaction

from crews.actions.waivers import end_waiver, give_waiver
from crews.domain.trade_words import WaivedGate
from crews.models import Panel, Waiver
from crews.queries.qualification import operator_standing
from project.actions.jobs import revise_terms
from project.domain.editions import Departure
from project.domain.verdict import State
from project.models import new_id
from tests.crews.acts import nothing_written, one_line, refused
from tests.crews.pages import Visitor, words
from tests.factories import TERMS, at, clock_at

NOW = at("2026-09-14 09:00")


def _given(site, **more):
    return {
        "id": new_id(),
        "by": site.engineer,
        "gate": WaivedGate.IDLE,
        "operator": site.operator,
        "from_at": at("2026-08-01 00:00"),
        "until_at": at("2026-08-31 18:00"),
        "words": "Refresher shot under my eyes.",
    } | more


@pytest.fixture
def idle(qualified):
    """The contract gives one day; the mock-up was shot long before the work."""
    site = qualified
    with clock_at("2026-07-30 08:00"):
        limit = {"idle_limit": Departure(Decimal(1), "d", "contract")}
        revise_terms(
            id=new_id(),
            by=site.admin,
            number=2,
            edition="ibc-2018-1908",
            effective_on=date(2026, 7, 30),
            departures=TERMS | limit,
        )
    return site


def _activity(site, when, known_at=NOW):
    verdict = operator_standing(
        site.job,
        operator=site.operator,
        part=site.wall.part,
        start=at(when),
        known_at=known_at,
    )
    return next(reason for reason in verdict.reasons if reason.key == "activity")


def test_a_waiver_opens_its_gate_for_its_time_and_is_named_as_evidence(idle):
    assert _activity(idle, "2026-08-04 07:10").state is State.FAIL
    with clock_at("2026-08-01 09:00"), one_line(idle.job, "waiver.given"):
        row = give_waiver(**_given(idle))
    opened = _activity(idle, "2026-08-04 07:10")
    assert opened.state is State.PASS
    assert "waived by Rhoswen Takeda until 2026-08-31 18:00" in opened.found
    assert str(row.pk) in {ref.id for ref in opened.evidence}
    assert _activity(idle, "2026-08-31 18:00").state is State.FAIL
    known = at("2026-08-01 08:59")
    assert _activity(idle, "2026-08-04 07:10", known).state is State.FAIL


def test_a_waiver_that_was_ended_holds_no_longer_and_stays_readable(idle):
    with clock_at("2026-08-01 09:00"):
        row = give_waiver(**_given(idle))
    ended = {"until_at": at("2026-08-03 18:00"), "reason": "He shot again."}
    with clock_at("2026-08-03 17:00"), one_line(idle.job, "waiver.ended"):
        end_waiver(id=new_id(), by=idle.engineer, waiver=row, **ended)
    assert _activity(idle, "2026-08-04 07:10").state is State.FAIL
    assert _activity(idle, "2026-08-02 07:10").state is State.PASS
    assert Waiver.objects.count() == 2


def test_sent_twice_it_is_given_once(idle):
    given = _given(idle)
    with clock_at("2026-08-01 09:00"):
        give_waiver(**given)
        with nothing_written(idle.job):
            give_waiver(**given)


@pytest.mark.parametrize(
    ("more", "field", "told"),
    [
        ({"words": "  "}, "words", "Nothing is written"),
        ({"until_at": at("2026-08-01 00:00")}, "until_at", "allowed is later than"),
        ({"gate": WaivedGate.RIG}, "rig", "No rig is named"),
        ({"gate": WaivedGate.MOCK_UP}, "mock_up", "No mock-up is named"),
    ],
)
def test_what_cannot_be_is_refused_by_name(idle, more, field, told):
    with clock_at("2026-08-01 09:00"):
        errors = refused(give_waiver, **_given(idle, **more))
    assert told in errors[field][0]


def test_an_equivalence_names_an_accepted_mock_up_of_the_operators_own(idle):
    mock_up = Panel.objects.get(operator=idle.operator, panel_kind="mock-up")
    with clock_at("2026-08-01 09:00"):
        own = give_waiver(**_given(idle, gate=WaivedGate.MOCK_UP, mock_up=mock_up))
        others = refused(
            give_waiver,
            **_given(
                idle, gate=WaivedGate.MOCK_UP, mock_up=mock_up, operator=idle.trainee
            ),
        )
    assert own.mock_up_id == mock_up.first
    assert "allowed is a mock-up of the operator's own" in others["mock_up"][0]


def test_nobody_but_the_engineer_waives(idle, elsewhere):
    for member in (idle.qc, idle.inspector, idle.admin):
        with nothing_written(), pytest.raises(PermissionDenied):
            give_waiver(**_given(idle, by=member))
    with clock_at("2026-08-01 09:00"):
        foreign = refused(give_waiver, **_given(idle, operator=elsewhere.operator))
    assert "is not on this job" in foreign["operator"][0]


def test_a_card_is_no_gate_that_anybody_waives(idle):
    with pytest.raises(ValueError, match="card"):
        WaivedGate("card")
    with clock_at("2026-08-01 09:00"):
        kept = give_waiver(**_given(idle))
    with pytest.raises(IntegrityError), transaction.atomic():
        Waiver.objects.bulk_create([_copy(kept, gate="card")])


def _copy(row, **changed):
    copy = Waiver(**{f.attname: getattr(row, f.attname) for f in row._meta.fields})
    copy.pk = copy.first = new_id()
    for name, value in changed.items():
        setattr(copy, name, value)
    return copy


def test_the_sheet_lists_it_and_the_engineer_gives_it_there(idle):
    visitor = Visitor(idle.engineer)
    assert "No waiver is on record." in words(visitor.get("operator", "OP-01"))
    sent = visitor.post(
        "give_waiver",
        "OP-01",
        data={
            "id": str(new_id()),
            "gate": "idle limit",
            "from_at": "2026-09-14T08:00",
            "until_at": "2026-09-30T18:00",
            "words": "Refresher on Monday.",
        },
    )
    assert sent.status_code == 302, words(sent)
    page = words(visitor.get("operator", "OP-01"))
    assert "Rhoswen Takeda: Refresher on Monday." in page
    assert "every part, every mix, every rig" in page
    assert "Waive a gate" not in words(Visitor(idle.qc).get("operator", "OP-01"))
