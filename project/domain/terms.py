"""The contract's terms in force on a date, resolved in full."""

from __future__ import annotations

from collections.abc import Mapping, Sequence
from dataclasses import dataclass
from datetime import date
from decimal import Decimal

from project.domain.term_kinds import TERM_KINDS, shown
from project.domain.units import Quantity
from project.domain.verdict import Known, Source
from project.domain.working import Used

# A revision keeps what was resolved when it was put in force, and nothing younger.
YOUNGER = Source(
    "contract", "the term is younger than this revision", "", Known.CONTRACT
)


@dataclass(frozen=True, slots=True)
class TermValue:
    """One term: its value, its unit where it has one, and where it comes from.

    `edition` says whether the value is the edition's own; a departure from the
    edition carries the contract's reason.
    """

    value: str | bool | Decimal | None
    unit: str | None
    source: Source
    departure: bool = False
    reason: str = ""


@dataclass(frozen=True, slots=True)
class Terms:
    """One revision of a contract's terms. An absent name reads "not given"."""

    revision: int
    edition: str
    effective_on: date
    values: Mapping[str, TermValue]

    def get(self, name: str) -> TermValue | None:
        """Return a term, or nothing where the contract gives none."""
        term = self.values.get(name)
        return None if term is None or term.value is None else term

    def decimal(self, name: str) -> Decimal | None:
        """Return a plain number. Raises ValueError if the term is not one."""
        term = self.get(name)
        if term is None:
            return None
        if not isinstance(term.value, Decimal):
            raise ValueError(f"term {name}: {term.value!r} is not a number")
        return term.value

    def quantity(self, name: str) -> Quantity | None:
        """Return a number with its unit. Raises ValueError if it has none."""
        term, value = self.get(name), self.decimal(name)
        if term is None or value is None:
            return None
        if term.unit is None:
            raise ValueError(f"term {name}: no unit given")
        return Quantity(value, term.unit)

    def choice(self, name: str) -> str | None:
        """Return a named setting. Raises ValueError if the term is not a word."""
        term = self.get(name)
        if term is None:
            return None
        if not isinstance(term.value, str):
            raise ValueError(f"term {name}: {term.value!r} is not a named setting")
        return term.value

    def flag(self, name: str) -> bool | None:
        """Return a yes or no. Raises ValueError if the term is not one."""
        term = self.get(name)
        if term is None:
            return None
        if not isinstance(term.value, bool):
            raise ValueError(f"term {name}: {term.value!r} is not yes or no")
        return term.value

    def source(self, name: str) -> Source:
        """Return where a term comes from, or why a revision has none.

        Raises KeyError for a name that no revision could have.
        """
        if name not in self.values and name in TERM_KINDS:
            return YOUNGER
        return self.values[name].source

    def used(self, *names: str) -> tuple[Used, ...]:
        """Return settings as a working prints them; those not given say so."""
        return tuple(
            Used(name, shown(term.value, term.unit), term.source)
            for name in names
            if (term := self.values.get(name)) is not None
        )

    @property
    def departures(self) -> dict[str, TermValue]:
        """Return the terms in which the contract leaves its edition."""
        return {name: term for name, term in self.values.items() if term.departure}


def terms_on(revisions: Sequence[Terms], *, on: date) -> Terms | None:
    """Return the revision in force on a date; of two on one day the higher number.

    Nothing before the first. Source: project's choice.

    >>> first, second = (Terms(n, "", date(2026, 7, n), {}) for n in (1, 2))
    >>> [t and t.revision for t in (terms_on([first, second], on=date(2026, 7, n))
    ...                             for n in (2, 1))]
    [2, 1]
    >>> terms_on([first], on=date(2026, 6, 30)) is None
    True
    """
    begun = [terms for terms in revisions if terms.effective_on <= on]
    return max(begun, key=lambda t: (t.effective_on, t.revision), default=None)
