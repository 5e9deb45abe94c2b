"""What the replay has made so far, by the scenario's own codes."""

from __future__ import annotations

from collections.abc import Mapping
from dataclasses import dataclass, field
from typing import Any
from uuid import UUID

from inspections.management.demo.scenario import Scenario
from inspections.models import Deficiency
from project import clock
from project.actions.signatures import Proof
from project.domain.identity import derived

# One password for everybody in the demo; printed on the terminal with the address.
PASSWORD = "quiet-tarn-hollow-26"  # noqa: S105 the demo's own, printed for all to see


@dataclass
class World:
    """The rows of the demo by kind and code, and who acts in whose name."""

    scenario: Scenario
    rows: dict[str, dict[str, Any]] = field(default_factory=dict)

    def keep(self, kind: str, code: str, row: Any) -> Any:
        """Remember a row under its code."""
        self.rows.setdefault(kind, {})[code] = row
        return row

    def get(self, kind: str, code: str) -> Any:
        """Return a row by its code. Raises KeyError if the replay has not made it."""
        return self.rows[kind][code]

    def found(self, walk: Any, told: Mapping[str, Any]) -> None:
        """Remember the deficiencies that a walk opened, under the scenario's codes."""
        for answer in told["answers"]:
            code = answer.get("deficiency")
            if code and code not in self.rows.setdefault("deficiency", {}):
                row = Deficiency.objects.get(pk=derived(walk.first, answer["item"]))
                self.keep("deficiency", code, row)

    def member(self, person: str) -> Any:
        """Return the membership through which a person acts."""
        return self.get("member", person)

    def proof(self, person: str) -> Proof:
        """Return the person's proof: in the replay everybody gives their password."""
        user_id: UUID = self.member(person).user_id
        return Proof(user_id=user_id, at=clock.now())
