"""Where two sets of terms ask different things."""

from __future__ import annotations

from collections.abc import Mapping
from dataclasses import dataclass

from project.domain.term_kinds import TERM_KINDS
from project.domain.terms import TermValue


@dataclass(frozen=True, slots=True)
class Difference:
    """One term that two sets give differently; `before` and `after` may be absent.

    Source: project's choice of form.

    >>> Difference("restart_gap", None, None).name
    'restart_gap'
    """

    name: str
    before: TermValue | None
    after: TermValue | None


def differences(
    before: Mapping[str, TermValue], *, after: Mapping[str, TermValue]
) -> tuple[Difference, ...]:
    """Return the terms whose value or unit differs, in the table's order.

    A source alone is no difference: 0.85 of one document is 0.85 of another. A limit
    in another unit is one, for documents round them apart. Source: project's choice.

    >>> from project.domain.editions.aci import ACI_318_19
    >>> from project.domain.editions.ibc import IBC_2018
    >>> changed = differences(IBC_2018.values, after=ACI_318_19.values)
    >>> [each.name for each in changed if each.name.startswith("core_")]
    ['core_three_mean']
    """
    return tuple(
        Difference(name, before.get(name), after.get(name))
        for name in TERM_KINDS
        if _said(before.get(name)) != _said(after.get(name))
    )


def _said(term: TermValue | None) -> tuple[object, str | None]:
    return (None, None) if term is None else (term.value, term.unit)
