"""The engineer's waivers: what they open, for how long, and what nobody waives."""

from __future__ import annotations

from datetime import date
from decimal import Decimal

import pytest
from django.core.exceptions import PermissionDenied
from django.db import IntegrityError, transaction

from crews.actions.waivers import end_waiver, give_waiver, withdraw_waiver
from crews.domain.trade_words import DecisionOutcome, WaivedGate
from crews.models import Panel, Waiver
from crews.queries.qualification import operator_standing
from project.actions.jobs import revise_terms
from project.domain.editions import Departure
from project.domain.verdict import State
from project.models import new_id
from tests.crews.acts import nothing_written, one_line, refused
from tests.crews.pages import Visitor, words
from tests.factories import TERMS, at, clock_at, make_judgement

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


def test_it_is_ended_earlier_and_never_prolonged(idle):
    with clock_at("2026-08-01 09:00"):
        row = give_waiver(**_given(idle))
    longer = {"until_at": at("2026-08-31 18:01"), "reason": "A day more."}
    with clock_at("2026-08-03 17:00"):
        told = refused(end_waiver, id=new_id(), by=idle.engineer, waiver=row, **longer)
    assert told["until_at"] == [
        "2026-08-31 18:01; allowed is up to 2026-08-31 18:00, the end that was given."
    ]
    assert Waiver.objects.count() == 1


def test_one_taken_back_never_held_and_is_still_known_as_before(idle):
    with clock_at("2026-08-01 09:00"):
        row = give_waiver(**_given(idle))
    gone = {"id": new_id(), "by": idle.engineer, "waiver": row, "reason": "Wrong man."}
    with clock_at("2026-08-05 09:00"), one_line(idle.job, "waiver.withdrawn"):
        withdraw_waiver(**gone)
    with clock_at("2026-08-05 09:01"), nothing_written(idle.job):
        withdraw_waiver(**gone)
    assert _activity(idle, "2026-08-04 07:10").state is State.FAIL
    before = at("2026-08-05 08:59")
    assert _activity(idle, "2026-08-04 07:10", before).state is State.PASS
    with pytest.raises(PermissionDenied):
        withdraw_waiver(**gone | {"id": new_id(), "by": idle.qc})


def test_an_equivalence_asks_for_the_last_judgement_and_not_on_a_resend(idle):
    mock_up = Panel.objects.get(operator=idle.operator, panel_kind="mock-up")
    given = _given(idle, gate=WaivedGate.MOCK_UP, mock_up=mock_up)
    with clock_at("2026-08-01 09:00"):
        give_waiver(**given)
    make_judgement(idle, mock_up, "2026-08-02 08:00", DecisionOutcome.REJECTED)
    with clock_at("2026-08-02 10:00"):
        with nothing_written(idle.job):
            give_waiver(**given)
        told = refused(give_waiver, **given | {"id": new_id()})
    assert told["mock_up"] == [
        f"{mock_up.code} is rejected; allowed is an accepted mock-up."
    ]


def test_another_firm_reads_of_no_rig_that_is_not_its_own(idle):
    with clock_at("2026-08-01 09:00"):
        common = {"gate": WaivedGate.RIG, "operator": None}
        give_waiver(**_given(idle, rig=idle.other_rig, **common))
        give_waiver(**_given(idle, rig=idle.rig, words="As good.", **common))
    own, others = (words(Visitor(w).get("waivers")) for w in (idle.qc, idle.other_qc))
    assert ("RIG-A" in own, "RIG-B" in own) == (True, False)
    assert ("RIG-A" in others, "RIG-B" in others) == (False, True)
    every = words(Visitor(idle.engineer).get("waivers"))
    assert "RIG-A" in every
    assert "RIG-B" in every


_SENT = {
    "gate": "idle limit",
    "from_at": "2026-09-14T08:00",
    "until_at": "2026-09-30T18:00",
    "words": "Refresher on Monday.",
}


def test_the_engineer_gives_ends_and_takes_back_on_one_page(idle):
    visitor = Visitor(idle.engineer)
    assert "No waiver is on record." in words(visitor.get("waivers"))
    sent = visitor.post("give_waiver", data=_SENT | {"id": str(new_id())})
    assert sent.status_code == 302, words(sent)
    row = Waiver.objects.get()
    assert row.operator is None
    page = words(visitor.get("waivers"))
    assert "every operator every part, every mix, every rig" in page
    ended = {"id": str(new_id()), "until_at": "2026-09-20T18:00", "reason": "Shot."}
    assert visitor.post("end_waiver", row.first, data=ended).status_code == 302
    assert "20 Sep" in words(visitor.get("waivers"))
    gone = {"id": str(new_id()), "reason": "Given in error."}
    for _again in range(2):
        sent = visitor.post("withdraw_waiver", row.first, data=gone)
        assert sent.status_code == 302
    assert "No waiver is on record." in words(visitor.get("waivers"))
    assert visitor.get("end_waiver", row.first).status_code == 404


def test_the_answer_of_a_square_leads_to_a_waiver_of_it(idle):
    visitor = Visitor(idle.engineer)
    asked = {"part": idle.wall.part.code, "operator": "OP-01"}
    link = "/waivers/give/?operator=OP-01&amp;part=" + idle.wall.part.code
    assert link in visitor.get("operators", **asked).content.decode()
    form = visitor.get("give_waiver", **asked).context["form"]
    assert form["operator"].value() == str(idle.operator.pk)
    assert form["part"].value() == str(idle.wall.part.pk)
    assert link not in Visitor(idle.qc).get("operators", **asked).content.decode()


def test_another_contractor_reads_only_what_reaches_its_people(idle):
    with clock_at("2026-08-01 09:00"):
        give_waiver(**_given(idle))
        give_waiver(**_given(idle, operator=None, words="Everybody was inducted."))
    assert "Refresher shot" in words(Visitor(idle.qc).get("waivers"))
    theirs = words(Visitor(idle.other_qc).get("waivers"))
    assert "Refresher shot" not in theirs
    assert "Everybody was inducted." in theirs


def test_the_sheet_lists_what_reaches_the_operator(idle):
    with clock_at("2026-08-01 09:00"):
        give_waiver(**_given(idle))
    page = words(Visitor(idle.engineer).get("operator", "OP-01"))
    assert "Rhoswen Takeda: Refresher shot under my eyes." in page
    assert "Waive a gate" not in words(Visitor(idle.qc).get("operator", "OP-01"))
