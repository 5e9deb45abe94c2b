"""Three hundred random histories through the database, against the slow oracle.

The rows are written as a database would hold them, every version of every chain; the
oracle walks the same chains and shares nothing with the product but their dataclasses.
"""

from __future__ import annotations

from collections.abc import Iterator, Sequence
from dataclasses import replace
from datetime import date, datetime
from decimal import Decimal
from random import Random
from typing import Any, TypeVar
from uuid import UUID, uuid5
from zoneinfo import ZoneInfo

import pytest

from crews.domain import examples
from crews.domain.activity import Shot
from crews.models import (
    Certification,
    Enrolment,
    Experience,
    Operator,
    Panel,
    PanelJudgement,
    Suspension,
    Waiver,
)
from crews.queries.qualification import qualification_record
from project.actions.jobs import revise_terms
from project.domain.clocks import FactVersion, day_starts
from project.domain.editions import Departure
from project.domain.verdict import State
from project.models import new_id
from tests.domain.qualification.histories import (
    BEGIN,
    IDLE_LIMIT,
    History,
    history_of,
    instant,
    slowly,
)
from tests.factories import TERMS, Site, clock_at

HISTORIES = 300
F = TypeVar("F", bound=FactVersion)


def _by_days(history: History, zone: str) -> History:
    """Let shooting begin at the start of its day: of a stated one no hour is known."""

    def begun(shot: Shot) -> Shot:
        day = shot.begun.astimezone(ZoneInfo(zone)).date()
        return replace(shot, begun=day_starts(day, zone=zone))

    chains = [[begun(version) for version in chain] for chain in history.shots]
    return replace(history, shots=chains)


def _may_stand(history: History) -> bool:
    """Say whether a database takes it: an order of no length is refused there."""
    orders = [order for chain in history.suspensions for order in chain]
    return all(o.until_at is None or o.until_at > o.from_at for o in orders)


class Writer:
    """Writes each chain's versions as rows of one operator."""

    def __init__(self, site: Site, number: int) -> None:
        self.site, self.number = site, number
        self.operator = Operator(
            organization=site.contractor,
            legal_name=f"Operator {number}",
            badge_number=f"H-{number:03}",
        )
        self.rows: list[Any] = [self.operator]

    def _chain(self, chain: Sequence[F]) -> Iterator[tuple[F, dict[str, Any]]]:
        first = self._id(chain[0].id)
        for version in chain:
            earlier = version.supersedes
            yield (
                version,
                {
                    "id": self._id(version.id),
                    "first": first,
                    "supersedes_id": None if earlier is None else self._id(earlier),
                    "withdrawn": version.withdrawn,
                    "recorded_at": version.recorded_at,
                    "reason": "" if earlier is None else "corrected",
                },
            )

    def _id(self, number: UUID) -> UUID:
        return uuid5(self.operator.pk, str(number))

    def _of_job(self) -> dict[str, Any]:
        return {"job": self.site.job, "recorded_by": self.site.inspector}

    def _of_firm(self) -> dict[str, Any]:
        user = self.site.qc.user
        return {"organization": self.site.contractor, "recorded_by": user}

    def write(self, history: History, mock_up: Panel) -> None:
        mine = {"operator": self.operator}
        for chain in history.cards:
            for card, columns in self._chain(chain):
                columns |= self._of_firm() | mine
                self.rows.append(
                    Certification(
                        scheme=card.scheme,
                        number=card.number,
                        method=card.method,
                        level=card.level,
                        classes=[[p.value, q.value] for p, q in card.classes],
                        issued_on=card.issued_on,
                        expires_on=card.expires_on,
                        **columns,
                    )
                )
        for n, places in enumerate(history.enrolments):
            for place, columns in self._chain(places):
                columns |= self._of_job() | mine
                self.rows.append(
                    Enrolment(
                        code=f"H{self.number}-{n}",
                        employer=self.site.contractor,
                        submittal="SUB",
                        approved_on=place.approved_on,
                        from_on=place.from_on,
                        to_on=place.to_on,
                        **columns,
                    )
                )
        self._orders(history, mine)
        self._mock_up(history, mock_up)

    def _orders(self, history: History, mine: dict[str, Any]) -> None:
        for orders in history.suspensions:
            for order, columns in self._chain(orders):
                until = order.until_at
                self.rows.append(
                    Suspension(
                        from_at=order.from_at,
                        until_at=until,
                        ordered_by="BT",
                        words="stood down",
                        **columns | self._of_job() | mine,
                    )
                )
        for shots in history.shots:
            for shot, columns in self._chain(shots):
                day = shot.begun.astimezone(ZoneInfo(self.site.job.zone)).date()
                self.rows.append(
                    Experience(
                        process=shot.process,
                        hours=Decimal(100),
                        last_shot_on=day,
                        stated_on=day,
                        stated_by="BT",
                        **columns | self._of_firm() | mine,
                    )
                )
        for waivers in history.waivers:
            for waiver, columns in self._chain(waivers):
                theirs = waiver.operator in ("", examples.OPERATOR.id)
                whose = self.operator if theirs else self.site.trainee
                self.rows.append(
                    Waiver(
                        gate=waiver.gate,
                        operator=whose,
                        from_at=waiver.from_at,
                        until_at=waiver.until_at,
                        words="refresher",
                        **columns | self._of_job(),
                    )
                )

    def _mock_up(self, history: History, mock_up: Panel) -> None:
        panel = mock_up.revised(
            id=new_id(), operator=self.operator, code=f"MU-9{self.number:03}"
        )
        panel.first, panel.supersedes_id = panel.pk, None
        panel.recorded_at, panel.recorded_by = BEGIN, self.site.inspector
        self.rows.append(panel)
        for decisions in history.decisions:
            for decision, columns in self._chain(decisions):
                self.rows.append(
                    PanelJudgement(
                        panel=panel,
                        decided_at=decision.decided_at,
                        decision=decision.outcome,
                        **columns
                        | self._of_job()
                        | {"recorded_by": self.site.engineer},
                    )
                )


def _save(rows: list[Any]) -> None:
    """Write rows table by table, each in the order of its chains."""
    tables: dict[type[Any], list[Any]] = {}
    for row in rows:
        tables.setdefault(type(row), []).append(row)
    for table, some in tables.items():
        table._base_manager.bulk_create(some)


@pytest.mark.slow
def test_three_hundred_histories_are_judged_as_the_oracle_judges_them(qualified):
    site = qualified
    with clock_at("2026-07-30 08:00"):
        limit = {"idle_limit": Departure(Decimal(IDLE_LIMIT), "d", "contract")}
        revise_terms(
            id=new_id(),
            by=site.admin,
            number=2,
            edition="ibc-2018-1908",
            effective_on=date(2026, 7, 30),
            departures=TERMS | limit,
        )
    mock_up = Panel.objects.get(operator=site.operator)
    asked: list[tuple[int, UUID, History, datetime, datetime]] = []
    rows: list[Any] = []
    for seed in range(2 * HISTORIES):
        random = Random(seed)
        history = _by_days(history_of(random), site.job.zone)
        if not _may_stand(history) or len(asked) == HISTORIES:
            continue
        writer = Writer(site, seed)
        writer.write(history, mock_up)
        rows += writer.rows
        pk = writer.operator.pk
        asked.append((seed, pk, history, instant(random), instant(random)))
    assert len(asked) == HISTORIES
    _save(rows)
    wrong, seen = [], set()
    for seed, pk, history, when, known_at in asked:
        record = qualification_record(
            site.job, known_at=known_at, operators=[Operator(pk=pk)]
        )
        part = record.parts[site.wall.part_id]
        mix = record.mix(site.mix.first)
        assert mix is not None
        demand = record.demand(part, mix)
        verdict = record.standing(pk, demand, start=when)
        wanted = slowly(history, when, known_at, site.job.zone)
        found = {r.key: r.state for r in verdict.reasons if r.key in wanted}
        seen |= set(found.items())
        if found != wanted:
            wrong.append((seed, found, wanted))
    assert wrong == []
    # Every gate was met open and shut, or nothing would have been compared.
    for gate in ("enrolment", "card", "mock-up", "activity", "suspension"):
        assert {(gate, State.PASS), (gate, State.FAIL)} <= seen
