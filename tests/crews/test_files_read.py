"""What is fetched of people and their work: no column too few, no version too few."""

from __future__ import annotations

from decimal import Decimal

import pytest
from django.apps import apps
from django.db import connection
from django.test.utils import CaptureQueriesContext

from crews.actions.corrections import correct
from crews.actions.crews import accept_rig_equivalence
from crews.actions.experience import state_experience
from crews.actions.people import suspend_operator
from crews.actions.ratings import rate_cores
from crews.actions.waivers import give_waiver
from crews.domain.trade_words import Method, PanelKind, RatingDecision, WaivedGate
from crews.models import (
    Certification,
    Experience,
    Panel,
    RigEquivalence,
    Suspension,
    VisualRating,
    Waiver,
)
from crews.queries.operator_files import mock_up_of, people_on
from crews.queries.qualification import qualification_record
from project.domain.shooting_words import Process
from project.models import MixRevision, PartRevision, new_id
from project.models.records import Version
from tests.factories import (
    at,
    clock_at,
    make_cores,
    make_panel,
    make_placement,
    make_shift,
    shoot,
)

NOW = at("2026-09-14 09:00")


@pytest.fixture
def full(qualified):
    """A job with a row of every kind that the gates ask for."""
    site = qualified
    with clock_at("2026-08-04 06:50"):
        placed = make_placement(site, make_shift(site.inspector, site.contractor))
        state_experience(
            id=new_id(),
            by=site.qc,
            operator=site.operator,
            process=Process.WET,
            method=Method.HAND,
            hours=Decimal(900),
            last_shot_on=at("2026-07-10 12:00").date(),
            stated_by="Kestrel Obi",
            stated_on=at("2026-07-18 12:00").date(),
        )
        accept_rig_equivalence(
            id=new_id(),
            by=site.engineer,
            rig=site.rig,
            other=site.other_rig,
            accepted_at=at("2026-07-16 16:00"),
        )
        give_waiver(
            id=new_id(),
            by=site.engineer,
            gate=WaivedGate.IDLE,
            part=site.wall.part,
            from_at=at("2026-08-04 07:00"),
            until_at=at("2026-08-31 18:00"),
            words="Refresher shot under my eyes.",
        )
    panel = make_panel(site, placement=placed)
    # A later mock-up of the second operator: a file's order is the record's own.
    make_panel(site, PanelKind.MOCK_UP, shot="2026-08-03 09:00", operator=site.trainee)
    site.extra["held"] = shoot(
        site, placed, site.operator, "2026-08-04 09:10", "2026-08-04 11:40"
    )
    with clock_at("2026-09-02 10:00"):
        rate_cores(
            id=new_id(),
            by=site.engineer,
            panel=panel,
            rated_at=at("2026-09-02 10:00"),
            cores=make_cores(site, panel)[2:],
            decision=RatingDecision.NOT_ACCEPTABLE,
            words="Sand behind the bars.",
        )
        suspend_operator(
            id=new_id(),
            by=site.qc,
            operator=site.operator,
            from_at=at("2026-09-02 12:00"),
            ordered_by="Rhoswen Takeda",
            words="Until the panel is looked at.",
        )
    return site


def _demand(row, record):
    mix = record.mixes[0]
    return record.demand(row, mix, rig=None), record.planned_mix(row, on=NOW.date())


ASKED = {
    Certification: lambda row, _: (row.facts(), row.operator_id),
    Suspension: lambda row, _: (row.facts(), row.operator_id),
    Waiver: lambda row, _: row.facts(),
    RigEquivalence: lambda row, _: row.facts(),
    Experience: lambda row, _: (row.shot("America/Denver"), row.operator_id),
    Panel: lambda row, record: mock_up_of(
        row, operator=row.rig.ref, mix=record.mixes[0], decisions=()
    ),
    VisualRating: lambda row, _: (row.panel_id, row.rated_at, row.decision),
    PartRevision: _demand,
    MixRevision: lambda row, record: record.demand(
        next(iter(record.parts.values())), row
    ),
}


def test_every_table_that_names_what_the_rules_ask_is_looked_at_here():
    named = {m for m in apps.get_models() if issubclass(m, Version) and m.FACTS}
    assert named == set(ASKED)


@pytest.mark.parametrize("model", ASKED, ids=lambda model: model.__name__)
def test_what_the_rules_ask_is_fetched_at_once(full, model):
    record = qualification_record(full.job, known_at=NOW)
    more = ("operator",) if model in (Certification, Suspension, Experience) else ()
    narrow = list(model.objects.for_facts(*more).order_by("pk"))
    with CaptureQueriesContext(connection) as queries:
        told = [ASKED[model](row, record) for row in narrow]
    assert narrow
    assert not queries.captured_queries
    assert told == [ASKED[model](row, record) for row in model.objects.order_by("pk")]


@pytest.mark.parametrize("hands", ["B", "BA", "BAB"])
def test_a_file_read_alone_is_the_file_read_with_everybody(full, hands):
    """A time and a mock-up that go from one operator to another, at each instant."""
    site = full
    people = {"A": site.operator, "B": site.trainee}
    mock_up = Panel.objects.get(panel_kind=PanelKind.MOCK_UP, operator=site.operator)
    days = [at(f"2026-09-{5 + n:02} 08:00") for n in range(len(hands))]
    for row in (site.extra["held"], mock_up):
        for day, hand in zip(days, hands, strict=True):
            with clock_at(f"{day:%Y-%m-%d %H:%M}"):
                correct(
                    id=new_id(),
                    by=site.inspector,
                    row=row,
                    reason="The sheet named another.",
                    operator=people[hand],
                )
    everybody = people_on(site.job)
    assert len(everybody) > len(people)
    for person in everybody:
        (alone,) = people_on(site.job, operators=[person.operator])
        for instant in (at("2026-09-01 08:00"), *days, NOW):
            assert alone.file.known_at(instant) == person.file.known_at(instant)
    shot = {
        person.operator: {one.name for one in person.file.known_at(NOW).shots}
        for person in everybody
    }
    last, other = people[hands[-1]], people["A" if hands[-1] == "B" else "B"]
    gone_over = {mock_up.code, site.extra["held"].placement.code}
    assert gone_over <= shot[last]
    assert not gone_over & shot[other]
