"""Affected work against judging every nozzle time at every recorded instant.

The oracle has no index, skips nothing and reads anew each time through the ordinary
query of who is qualified on record, as known just before and at each instant.
"""

from __future__ import annotations

import random
from dataclasses import dataclass, field
from datetime import date, datetime, timedelta
from decimal import Decimal
from typing import Any

import pytest
from django.core.exceptions import ValidationError

from crews.actions.corrections import correct, withdraw
from crews.actions.crews import accept_rig_equivalence
from crews.actions.nozzle import leave_nozzle, take_nozzle
from crews.actions.people import (
    end_suspension,
    enrol_operator,
    record_certification,
    suspend_operator,
    withdraw_certification,
)
from crews.actions.shooting import end_presence, note_presence
from crews.actions.waivers import end_waiver, give_waiver, withdraw_waiver
from crews.domain.trade_words import DecisionOutcome, PresenceRole, WaivedGate
from crews.models import (
    Certification,
    Eligibility,
    Enrolment,
    NozzleTime,
    Panel,
    PanelJudgement,
    Placement,
    Presence,
    RigEquivalence,
    Suspension,
    Waiver,
)
from crews.queries.qualification import qualification_record
from crews.queries.supervision import Time, stand_of, watch_of
from inspections.queries.affected import BEGINNING, affected_work
from project import clock
from project.actions.jobs import revise_part, revise_terms
from project.domain.editions import Departure
from project.domain.shooting_words import Position
from project.domain.verdict import Verdict
from project.models import MixRevision, PartRevision, TermsRevision, new_id
from project.queries.jobs import now_on
from tests.factories import TERMS, card, make_judgement
from tests.factories import with_mock_up as accepted_mock_up
from tests.inspections.wall import at

TABLES = (
    *(Certification, Enrolment, Suspension, Panel, PanelJudgement, RigEquivalence),
    *(NozzleTime, Placement, Presence, MixRevision, PartRevision, TermsRevision),
    Waiver,
)
_LEAST = timedelta(microseconds=1)


@dataclass
class History:
    """A job to which things happen at random, each at its own later time."""

    wall: Any
    chance: random.Random
    now: datetime = field(default_factory=lambda: at("2026-08-11 06:50"))
    held: list[NozzleTime] = field(default_factory=list)

    def on(self, minutes: int) -> datetime:
        self.now += timedelta(minutes=minutes)
        return self.now

    def happen(self, steps: int) -> None:
        acts = (
            *(self.shoot, self.shoot, self.correct_card, self.correct_card),
            *(self.suspend, self.end_order, self.judge, self.place_again),
            *(self.correct_time, self.other_rig, self.withdraw_time, self.stand_by),
            *(self.withdraw_card, self.from_a_tablet, self.revise_part),
            *(self.revise_terms, self.equal_rigs, self.leave_the_watch),
            *(self.waive, self.take_waiver_back, self.stand_by),
        )
        for _step in range(steps):
            with clock.set_to(self.on(self.chance.randint(20, 900))):
                try:
                    self.chance.choice(acts)()
                except ValidationError:
                    continue  # what the record refuses did not happen

    def operator(self) -> Any:
        first, second = self.wall.operator, self.wall.second
        return self.chance.choice([first, first, first, second])

    def shoot(self, known_at: datetime | None = None) -> None:
        taken, _ = take_nozzle(
            id=new_id(),
            by=self.wall.inspector,
            placement=self.wall.placement,
            operator=self.operator(),
            at=self.now - timedelta(minutes=15),
            known_at=known_at,
        )
        self.held.append(taken)
        if self.chance.random() < 0.8:
            leave_nozzle(by=self.wall.inspector, nozzle_time=taken, at=self.now)

    def from_a_tablet(self) -> None:
        self.shoot(known_at=self.now - timedelta(minutes=self.chance.randint(10, 2000)))

    def correct_card(self) -> None:
        operator = self.operator()
        old = Certification.objects.known_at(self.now).filter(operator=operator)
        ends = date(2026, 8, 5) + timedelta(days=self.chance.randint(0, 20))
        if self.chance.random() < 0.4:
            ends = date(2028, 3, 14)
        record_certification(
            id=new_id(),
            by=self.wall.qc,
            operator=operator,
            card=card(number="WV-7", expires_on=ends),
            supersedes=old.first(),
            reason="read again" if old else "",
        )

    def withdraw_card(self) -> None:
        rows = Certification.objects.known_at(self.now)
        row = rows.filter(operator=self.operator()).first()
        if row is not None:
            withdraw_certification(
                id=new_id(), by=self.wall.qc, card=row, reason="another's"
            )

    def suspend(self) -> None:
        suspend_operator(
            id=new_id(),
            by=self.wall.qc,
            operator=self.operator(),
            from_at=self.now - timedelta(hours=self.chance.randint(0, 60)),
            until_at=None,
            ordered_by="the engineer",
            words="rebound left in",
        )

    def end_order(self) -> None:
        row = Suspension.objects.known_at(self.now).filter(until_at=None).first()
        if row is not None:
            end_suspension(
                id=new_id(),
                by=self.wall.qc,
                suspension=row,
                until_at=self.now,
                reason="shown again",
            )

    def judge(self) -> None:
        panel = Panel.objects.known_at(self.now).get(panel_kind="mock-up")
        decision = self.chance.choice(
            [DecisionOutcome.ACCEPTED, DecisionOutcome.REJECTED]
        )
        wall = self.wall.job.local(self.now).strftime("%Y-%m-%d %H:%M:%S.%f")
        make_judgement(self.wall.site, panel, wall, decision)

    def place_again(self) -> None:
        operator = self.operator()
        old = Enrolment.objects.known_at(self.now).get(operator=operator)
        enrol_operator(
            id=new_id(),
            by=self.wall.qc,
            operator=operator,
            employer=old.employer,
            from_on=date(2026, 8, 1) + timedelta(days=self.chance.randint(0, 15)),
            submittal=old.submittal,
            approved_on=self.chance.choice([None, date(2026, 7, 16)]),
            approved_by="the engineer",
            supersedes=old,
            reason="first day read again",
        )

    def correct_time(self) -> None:
        row = self.chance.choice(self.held)
        start = row.started_at - timedelta(minutes=self.chance.randint(1, 600))
        changed = (
            {"started_at": start}
            if self.chance.random() < 0.5
            else {"operator": self.operator()}
        )
        correct(
            id=new_id(),
            by=self.wall.inspector,
            row=row,
            reason="paper note found",
            **changed,
        )

    def withdraw_time(self) -> None:
        if self.chance.random() < 0.3:
            row = self.chance.choice(self.held)
            withdraw(id=new_id(), by=self.wall.inspector, row=row, reason="not shot")

    def other_rig(self) -> None:
        rig = self.chance.choice([self.wall.site.rig, self.wall.site.other_rig])
        correct(
            id=new_id(),
            by=self.wall.inspector,
            row=self.wall.placement,
            reason="another rig",
            rig=rig,
        )

    def revise_part(self) -> None:
        old = PartRevision.objects.known_at(self.now).get(part=self.wall.part)
        kept = ("name", "area", "thickness", "reinforcement", "mix_code")
        facts = {name: getattr(old, name) for name in kept}
        facts |= {"area_unit": old.area_unit, "thickness_unit": old.thickness_unit}
        revise_part(
            id=new_id(),
            by=self.wall.admin,
            old=old,
            reason="drawing read again",
            position=self.chance.choice([Position.VERTICAL, Position.OVERHEAD]),
            trainee_allowed=self.chance.random() < 0.5,
            mockup_by_contract=self.chance.random() < 0.7,
            **facts,
        )

    def revise_terms(self) -> None:
        printed = Departure(self.chance.random() < 0.5, reason="contract specification")
        idle = Departure(Decimal(self.chance.randint(1, 60)), "d", "contract")
        revise_terms(
            id=new_id(),
            by=self.wall.admin,
            number=TermsRevision.objects.count() + 1,
            edition=TermsRevision.objects.latest("number").edition,
            effective_on=date(2026, 8, 1) + timedelta(days=self.chance.randint(0, 15)),
            departures=TERMS | {"card_last_day_inclusive": printed, "idle_limit": idle},
        )

    def equal_rigs(self) -> None:
        accept_rig_equivalence(
            id=new_id(),
            by=self.wall.engineer,
            rig=self.wall.site.rig,
            other=self.wall.site.other_rig,
            accepted_at=self.now - timedelta(hours=self.chance.randint(0, 90)),
        )

    def stand_by(self) -> None:
        note_presence(
            id=new_id(),
            by=self.wall.inspector,
            shift=self.wall.shift,
            role=PresenceRole.SUPERVISOR,
            operator=self.wall.operator,
            from_at=self.now - timedelta(hours=self.chance.randint(0, 30)),
        )

    def leave_the_watch(self) -> None:
        row = Presence.objects.known_at(self.now).filter(to_at=None).first()
        if row is not None:
            ended = self.now - timedelta(minutes=self.chance.randint(0, 40))
            end_presence(by=self.wall.inspector, presence=row, to_at=ended)

    def waive(self) -> None:
        give_waiver(
            id=new_id(),
            by=self.wall.engineer,
            gate=WaivedGate.IDLE,
            operator=self.chance.choice([None, self.operator()]),
            from_at=self.now - timedelta(days=self.chance.randint(0, 9)),
            until_at=self.now + timedelta(days=self.chance.randint(1, 9)),
            words="shot under my eyes",
        )

    def take_waiver_back(self) -> None:
        row = Waiver.objects.known_at(self.now).first()
        if row is None:
            return
        given = {"id": new_id(), "by": self.wall.engineer, "waiver": row}
        if self.chance.random() < 0.5:
            withdraw_waiver(**given, reason="another's")
        else:
            end_waiver(**given, until_at=self.now, reason="shown again")


def _judged(job, record, first, known_at) -> Verdict | None:
    """Judge one nozzle time as a reader of the whole record would, without an index."""
    begun = NozzleTime.objects.get(pk=first).recorded_at
    read_at = max(known_at, begun)
    held = NozzleTime.objects.known_at(read_at).filter(first=first).first()
    if held is None:
        return None
    placed = Placement.objects.known_at(read_at).get(first=held.placement_id)
    time = Time(held, placed, held.as_known("stopped_at", at=read_at))
    # A take knew what the wall knew; a leave tells who stood there until then.
    seen = known_at if time.stop is None else read_at
    return record.placement_standing(
        placed,
        operator=held.operator,
        start=held.started_at,
        stop=time.stop,
        watch=watch_of(record, time, stands=_stands(seen), others=_times(seen)),
    )


def _stands(seen) -> dict[Any, list[Any]]:
    """Return every supervisor of every shift, as known."""
    found: dict[Any, list[Any]] = {}
    for row in Presence.objects.known_at(seen).filter(role=PresenceRole.SUPERVISOR):
        stand = stand_of(row, row.as_known("to_at", at=seen))
        found.setdefault(row.shift_id, []).append(stand)
    return found


def _times(seen) -> list[Time]:
    """Return every nozzle time there is, as known."""
    return [
        Time(
            held,
            Placement.objects.known_at(seen).get(first=held.placement_id),
            held.as_known("stopped_at", at=seen),
        )
        for held in NozzleTime.objects.known_at(seen)
    ]


def _oracle(job) -> set[tuple[Any, ...]]:
    instants = sorted({row.recorded_at for t in TABLES for row in t.objects.all()})
    firsts = list(NozzleTime.objects.filter(supersedes=None))
    knew = {row.pk: _knew(row) for row in firsts}
    end, found = now_on(job), set()
    for instant in instants:
        record = qualification_record(job, known_at=instant)
        earlier = qualification_record(job, known_at=instant - _LEAST)
        for row in firsts:
            if instant <= knew[row.pk]:
                continue
            before = _judged(job, earlier, row.pk, instant - _LEAST)
            after = _judged(job, record, row.pk, instant)
            still = NozzleTime.objects.known_at(end).filter(first=row.pk).exists()
            if before is None or after is None or not still:
                continue
            shut = [{r.key for r in v.unmet} for v in (before, after)]
            if before.state != after.state or shut[0] != shut[1]:
                found.add(
                    (max(instant, row.recorded_at), row.pk, before.state, after.state)
                )
    return found


def _knew(row: NozzleTime) -> datetime:
    frozen = Eligibility.objects.filter(nozzle_time=row.pk, moment="take")
    return frozen.earliest("recorded_at").known_at


def _found(lines) -> set[tuple[Any, ...]]:
    return {
        (line.found_at, one.held.id, one.before.state, one.after.state)
        for line in lines
        for one in line.turned
    }


@pytest.fixture
def ready(wall):
    accepted_mock_up(wall.site)
    return wall


@pytest.mark.parametrize("seed", range(1, 6))
def test_it_finds_what_judging_everything_at_every_instant_finds(ready, seed):
    history = History(ready, random.Random(seed))
    with clock.set_to(history.on(10)):
        history.shoot()
    history.happen(18)
    with clock.set_to(history.on(60)):
        until = now_on(ready.job)
        wanted = _oracle(ready.job)
        assert wanted  # these histories turn something
        assert _found(affected_work(ready.job, since=BEGINNING, until=until)) == wanted
        half = sorted(row[0] for row in wanted)[len(wanted) // 2]
        part = affected_work(ready.job, since=half, until=until)
        assert _found(part) == {row for row in wanted if row[0] > half}
