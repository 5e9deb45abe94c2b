"""The demo scenario as plain facts of the domain, read without any database."""

from __future__ import annotations

import json
from collections.abc import Iterator
from datetime import date, datetime
from decimal import Decimal
from pathlib import Path
from typing import Any
from uuid import NAMESPACE_URL, UUID, uuid5
from zoneinfo import ZoneInfo

from crews.domain.activity import Shot
from crews.domain.certification import Card
from crews.domain.demand import Demand, MixOnRecord, RevisionMark, RigEquivalence
from crews.domain.mock_up import Decision, MockUp
from crews.domain.operator_file import Enrolment, OperatorFile, Suspension
from crews.domain.trade_words import DecisionOutcome, Level, Method
from inspections.management.demo.contract_terms import terms_of
from project.domain.clocks import Interval
from project.domain.reinforcement import (
    BarWay,
    Curtain,
    Mat,
    Reinforcement,
    Splice,
    SpliceKind,
)
from project.domain.shooting_words import Position, Process
from project.domain.terms import Terms, terms_on
from project.domain.units import Quantity
from project.domain.verdict import Known, Ref, Source

HOUSE = Path(__file__).parents[3]
SCENARIO = HOUSE / "inspections" / "management" / "demo" / "scenario.json"
EXPECTED = HOUSE / "tests" / "tables" / "expected.json"

_POSITIONS = {"V": Position.VERTICAL, "OH": Position.OVERHEAD}
_SCHEMES = {"CP-60": "CP-60", "robotic sprayed-concrete operator scheme": "robotic"}
_LEVELS = {"full": Level.FULL, "in-training": Level.IN_TRAINING}
_OUTCOMES = {
    "accepted": DecisionOutcome.ACCEPTED,
    "accepted-supervised": DecisionOutcome.ACCEPTED_UNDER_SUPERVISION,
    "rejected": DecisionOutcome.REJECTED,
}


def read(path: Path) -> Any:
    return json.loads(path.read_text(encoding="utf-8"), parse_float=Decimal)


def _id(*words: object) -> UUID:
    return uuid5(NAMESPACE_URL, " ".join(map(str, words)))


def _inches(value: Any) -> Quantity:
    return Quantity(Decimal(value), "in")


class Scenario:
    """The facts of the job; each method reads one kind of them."""

    def __init__(self) -> None:
        self.data = read(SCENARIO)
        self.zone = self.data["zone"]
        self.people = self.local(self.data["setup"]["people"][:16])
        self.parts = {
            part["code"]: part
            for element in self.data["elements"]
            for part in element["parts"]
        }
        self.terms_revisions = [terms_of(row) for row in self.data["terms"]]
        self.files = {row["id"]: self._file(row) for row in self.data["operators"]}

    def local(self, text: str) -> datetime:
        return datetime.fromisoformat(text).replace(tzinfo=ZoneInfo(self.zone))

    def as_of(self) -> datetime:
        return self.local(self.data["as_of_instant"])

    def terms(self, on: date) -> Terms:
        terms = terms_on(self.terms_revisions, on=on)
        assert terms is not None
        return terms

    def interval(self, start: str, stop: str | None = None) -> Interval:
        ends = self.local(stop) if stop else None
        return Interval(self.local(start), ends, self.zone)

    def demand(self, code: str, *, mix: str, **given: Any) -> Demand:
        part = self.parts[code]
        values = {
            "part": Ref("part", str(_id("part", code)), code),
            "position": Position(part["position"]),
            "method": Method.HAND,
            "mix": self._mix(mix),
            "rig_equivalences": self._equivalences(),
            "reinforcement": _reinforcement(part),
            "thickness": _inches(part["thickness_in"]),
            "trainee_allowed": part["trainee_allowed"],
            "mock_up_class": part["mockup_class"],
            "mock_up_by_contract": Source(
                "contract", self.data["job"]["specification"], known=Known.CONTRACT
            ),
        }
        return Demand(**(values | given))

    def rig(self, code: str) -> Ref:
        return Ref("rig", str(_id("rig", code)), code)

    def _mix(self, code: str) -> MixOnRecord:
        row = self.data["mixes"][code]
        latest = next(r for r in row["revisions"] if r["rev"] == row["rev"])
        marks = tuple(
            RevisionMark(r["rev"], r.get("placing_properties_changed"))
            for r in row["revisions"]
        )
        return MixOnRecord(
            ref=Ref("mix revision", str(_id(code, row["rev"])), code),
            code=code,
            revision=row["rev"],
            process=Process(row["proc"]),
            approved_on=date.fromisoformat(latest["approved"]),
            marks=marks,
        )

    def _equivalences(self) -> tuple[RigEquivalence, ...]:
        return tuple(
            RigEquivalence(
                id=_id("equal", *row["rigs"]),
                recorded_at=self.local(row["accepted_at"]),
                rigs=frozenset(self.rig(code).id for code in row["rigs"]),
                accepted_at=self.local(row["accepted_at"]),
                accepted_by=row["accepted_by"],
            )
            for row in self.data["rig_equivalences"]
        )

    def _file(self, row: dict[str, Any]) -> OperatorFile:
        operator = Ref("operator", row["id"], f"{row['legal_name']} ({row['id']})")
        mock_ups = [m for m in self.data["mockups"] if m["operator"] == row["id"]]
        return OperatorFile(
            operator=operator,
            cards=tuple(c for k in row["certifications"] for c in self._cards(k)),
            enrolments=(self._enrolment(row),),
            mock_ups=tuple(self._mock_up(m, operator) for m in mock_ups),
            suspensions=tuple(map(self._suspension, row.get("stood_down", []))),
            shots=tuple(self._shots(row, mock_ups)),
        )

    def _shots(
        self, row: dict[str, Any], mock_ups: list[dict[str, Any]]
    ) -> Iterator[Shot]:
        """Give what was stated at enrolment, the mock-ups, and every nozzle time."""
        for process, day in row["last_shot_by_process"].items():
            yield Shot(
                id=_id("stated", row["id"], process),
                recorded_at=self.people,
                process=Process(process),
                begun=self.local(f"{day}T12:00"),
            )
        for mock_up in mock_ups:
            yield Shot(
                id=_id("shot", mock_up["id"]),
                recorded_at=self.local(mock_up["shot_at"]),
                process=Process(mock_up["process"]),
                begun=self.local(mock_up["shot_at"]),
            )
        for placement in self.data["placements"]:
            for n, segment in enumerate(placement["segments"]):
                if segment["operator"] == row["id"]:
                    yield Shot(
                        id=_id("held", placement["id"], n),
                        recorded_at=self.local(segment["started_at"]),
                        process=Process(placement["process"]),
                        begun=self.local(segment["started_at"]),
                    )

    def _cards(self, row: dict[str, Any]) -> list[Card]:
        """Give every version of a card; most have one."""
        number = row["number"]
        versions = row.get("versions") or [{"expires": row["expires"]}]
        cards = []
        for n, version in enumerate(versions):
            recorded = version.get("recorded_at")
            earlier = version.get("supersedes")
            process = Process(row["process"])
            cards.append(
                Card(
                    id=_id("card", number, n),
                    recorded_at=self.local(recorded) if recorded else self.people,
                    supersedes=None
                    if earlier is None
                    else _id("card", number, earlier),
                    scheme=_SCHEMES[row["scheme"]],
                    number=number,
                    method=Method(row["method"]),
                    level=_LEVELS[row["level"]],
                    classes=frozenset(
                        (process, _POSITIONS[o]) for o in row["orientations"]
                    ),
                    issued_on=date.fromisoformat(row["issued"]),
                    expires_on=date.fromisoformat(version["expires"]),
                    verified_on=date.fromisoformat(row["verified_on"]),
                    verified_how=row["verified_how"],
                )
            )
        return cards

    def _enrolment(self, row: dict[str, Any]) -> Enrolment:
        place = row["assignment"]
        to = place["active_to"]
        return Enrolment(
            id=_id("enrolment", row["id"]),
            recorded_at=self.people,
            employer=place["employer"],
            submittal=place["submittal"],
            approved_on=date.fromisoformat(place["submittal_approved_on"]),
            from_on=date.fromisoformat(place["active_from"]),
            to_on=date.fromisoformat(to) if to else None,
        )

    def _suspension(self, row: dict[str, Any]) -> Suspension:
        return Suspension(
            id=_id("suspension", row["from"]),
            recorded_at=self.local(row["from"]),
            from_at=self.local(row["from"]),
            until_at=self.local(row["to"]) if row["to"] else None,
            ordered_by=row["by"],
            words=row["reason"],
        )

    def _mock_up(self, row: dict[str, Any], operator: Ref) -> MockUp:
        judged = self.local(row["judged_at"])
        decision = Decision(
            id=_id("decision", row["id"]),
            recorded_at=judged,
            outcome=_OUTCOMES[row["result"]],
            decided_at=judged,
            decided_by=row["judged_by"],
            words=row["words"],
        )
        return MockUp(
            id=_id("panel", row["id"]),
            recorded_at=self.local(row["shot_at"]),
            code=row["id"],
            operator=operator,
            mix_code=row["mix"],
            mix_revision=row["mix_revision"],
            process=Process(row["process"]),
            method=Method(row["method"]),
            position=Position(row["position"]),
            rig=self.rig(row["rig"]),
            reinforcement=_reinforcement(row),
            thickness=_inches(row["thickness_in"]),
            mock_up_class=row["class"],
            decisions=(decision,),
        )


def _reinforcement(row: dict[str, Any]) -> Reinforcement:
    curtains = (Curtain.NEARER, Curtain.FARTHER)[: row["curtains"]]
    mats = tuple(
        Mat(
            curtain,
            BarWay(bar["direction"]),
            f"No. {bar['size_no']}",
            _inches(bar["spacing_in"]),
            existing=bar.get("existing", False),
            gap_behind=_inches(bar["gap_behind_in"])
            if "gap_behind_in" in bar
            else None,
        )
        for curtain in curtains
        for bar in row["bars"]
    )
    splice = row["splice"]
    clear = splice.get("clear_in")
    return Reinforcement(
        mats,
        Splice(
            SpliceKind(splice["kind"]),
            _inches(clear) if clear else None,
            staggered=splice.get("staggered", False),
            existing=splice.get("existing", False),
        ),
    )
