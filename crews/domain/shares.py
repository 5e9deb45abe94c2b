"""A strength against its share of f_c, or of the core strength a contract requires.

Comparisons are made on unrounded strengths, in the unit the basis was typed in. A
limit written as a whole percent is met, one reader says, by whatever rounds to it;
a strict reader compares as it is. The contract's word decides, and both are shown
where they part.
"""

from __future__ import annotations

from collections.abc import Mapping
from dataclasses import dataclass
from decimal import Decimal

from crews.domain.core_facts import Specimen
from project.domain.showing import beside
from project.domain.term_kinds import (
    AT_LEAST,
    MORE_THAN,
    OF_F_C,
    OF_REQUIRED,
    ROUNDED,
    STRICT,
)
from project.domain.terms import Terms
from project.domain.units import Quantity
from project.domain.verdict import Known, Reason, Source, State

WHOLE_PERCENT = Source(
    "ACI technical committee manual", "11.6.7, as quoted", "2020", Known.READ
)

# A limit written as a whole percent carries half of one (the manual above, read as
# quoted).
HALF_PERCENT = Decimal("0.005")

# Specimen -> the terms of the mean's share and of each one's.
SHARES: Mapping[Specimen, tuple[str, str]] = {
    Specimen.CORE: ("core_average", "core_single"),
    Specimen.CUBE: ("cube_average", "cube_single"),
}

_PLACES = {"psi": 1, "MPa": 2}


@dataclass(frozen=True, slots=True)
class Basis:
    """What shares are taken of, in whose word, and how they are compared.

    `mode` is a word of the term `core_rounding`. Source: `basis`.

    >>> f_c = Basis(Quantity(Decimal(4000), "psi"), "f_c", "strict")
    >>> f_c.meets(Decimal(3400), Decimal("0.85")), f_c.shown(Decimal(3400), Decimal(1))
    (True, '3400.0 psi')
    """

    value: Quantity
    word: str
    mode: str

    @property
    def other_mode(self) -> str:
        """The interpretation that is not the contract's."""
        return ROUNDED if self.mode == STRICT else STRICT

    def limit(self, share: Decimal) -> Decimal:
        """Return a share as a strength, in the unit of the basis."""
        return share * self.value.value

    def meets(
        self, strength: Decimal, share: Decimal, *, mode: str = "", met: str = AT_LEAST
    ) -> bool:
        """Whether a strength meets its share, as one of two readers has it.

        What rounds to a whole percent is not more than it.
        """
        over, strict = met == MORE_THAN, (mode or self.mode) == STRICT
        if not strict:
            return strength >= self.limit(
                share + (HALF_PERCENT if over else -HALF_PERCENT)
            )
        limit = self.limit(share)
        return strength > limit or (strength == limit and not over)

    def percent(self, strength: Decimal, share: Decimal) -> str:
        """Return a strength as percent of the basis, never as if it were its limit."""
        found = 100 * strength / self.value.value
        return f"{beside(found, 100 * share, places=1)} %"

    def shown(self, strength: Decimal, share: Decimal) -> str:
        """Return a strength with its unit, never as if it were its limit."""
        places = _PLACES.get(self.value.unit, 0)
        limit = self.limit(share)
        return f"{beside(strength, limit, places=places)} {self.value.unit}"

    def against(
        self,
        key: str,
        strength: Decimal,
        share: Decimal,
        *,
        asked: str,
        lead: str,
        source: Source,
        met: str = AT_LEAST,
    ) -> Reason:
        """Return how one strength stands to its share: limit, margin and words."""
        limit = self.limit(share)
        return Reason(
            key,
            f"{asked} {met} {share} {self.word}",
            State.PASS if self.meets(strength, share, met=met) else State.FAIL,
            f"{lead}{self.shown(strength, share)}",
            source,
            limit=Quantity(limit, self.value.unit),
            margin=Quantity(strength - limit, self.value.unit),
        )


def basis(f_c: Quantity, *, terms: Terms) -> Basis | None:
    """Return what the shares are of; nothing where the contract does not give it.

    Parameters
    ----------
    f_c
        Of the mixture [pressure].
    terms
        Give `strength_basis`, `required_core_strength` [pressure], `core_rounding`.

    A required core strength that is not given is never taken to be f_c. Raises
    ValueError where `strength_basis` is not given. Source: IBC 1908.10.3, of f_c;
    UFGS 03371, of a required core strength that its specification gives (read).

    >>> from datetime import date
    >>> from project.domain.editions import resolve
    >>> def of(key):
    ...     on = date(2026, 7, 1)
    ...     terms = resolve(key, revision=1, effective_on=on, departures={})
    ...     return basis(Quantity(Decimal(4000), "psi"), terms=terms)
    >>> of("ibc-2018-1908").word, of("ufgs-03371")
    ('f_c', None)
    """
    word = terms.choice("strength_basis")
    if word is None:
        raise ValueError("term strength_basis: not given, and no set can be judged")
    value = f_c if word == OF_F_C else terms.quantity("required_core_strength")
    if value is None:
        return None
    return Basis(value, word, terms.choice("core_rounding") or STRICT)


def basis_lacking(terms: Terms) -> Reason:
    """Return the reason of a set whose basis is not given. Source: the terms.

    >>> from datetime import date
    >>> from project.domain.editions import own_terms
    >>> own = own_terms("ufgs-03371", revision=1, effective_on=date(2026, 7, 1))
    >>> basis_lacking(own).found
    'required core strength not given'
    """
    return Reason(
        "basis",
        f"shares are of the {OF_REQUIRED}",
        State.UNDECIDED,
        f"{OF_REQUIRED} not given",
        terms.source("strength_basis"),
    )
