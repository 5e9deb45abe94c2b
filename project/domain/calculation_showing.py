"""A calculation and its answer as plain values, for whoever reads them by machine.

Quantities are written as they are read, `["4720", "psi"]`, so that one calculation's
figure can be handed to the next.
"""

from __future__ import annotations

from typing import Any

from project.domain.calculation import Calculation, Field, Kind
from project.domain.calculation_running import Worked
from project.domain.term_kinds import kind_of
from project.domain.units import Quantity
from project.domain.verdict import Reason, Source, Verdict
from project.domain.working import Used, Working

Plain = dict[str, Any]


def described(calculation: Calculation) -> Plain:
    """Return what a calculation takes, asks and rests on.

    Source: the calculation's own declaration.

    >>> from project.domain.calculation import Answer
    >>> side = Field("side", "Side", Kind.QUANTITY, unit="in")
    >>> square = Calculation("square", "Square", "Shapes", "Says an area.", (side,),
    ...                      lambda given, terms: Answer({}), (), {})
    >>> [line["allowed"] for line in described(square)["inputs"]]
    ['a number; units m, mm, in, ft, yd']
    """
    return {
        "name": calculation.name,
        "title": calculation.title,
        "group": calculation.group,
        "says": calculation.says,
        "inputs": [_field(field) for field in calculation.fields],
        "settings": [_setting(name) for name in calculation.settings],
        "sources": [str(source) for source in calculation.sources],
        "caution": calculation.caution,
    }


def _field(field: Field) -> Plain:
    told: Plain = {
        "name": field.name,
        "label": field.label,
        "kind": field.kind.value,
        "allowed": field.allowed,
        "optional": field.optional,
    }
    if field.kind is Kind.QUANTITY:
        told |= {"unit": field.unit, "units": list(field.units)}
    if field.kind is Kind.CHOICE:
        told["choices"] = list(field.choices)
    if field.kind is Kind.ROWS:
        told["columns"] = [_field(column) for column in field.columns]
    if field.note:
        told["note"] = field.note
    return told


def _setting(name: str) -> Plain:
    kind = kind_of(name)
    told: Plain = {"name": name, "label": kind.label, "allowed": kind.allowed}
    if kind.choices:
        told["choices"] = list(kind.choices)
    if kind.note:
        told["note"] = kind.note
    return told


def told(worked: Worked) -> Plain:
    """Return an answer with all that stands behind it.

    `value` and `exact` are those of the figure asked for, and nothing where there is
    none. Source: the calculation's own answer.

    >>> from datetime import date
    >>> from project.domain.calculation import Answer
    >>> from project.domain.calculation_running import work
    >>> none = Calculation("none", "None", "None", "Says nothing.", (),
    ...                    lambda given, terms: Answer({}, words="none"), (), {})
    >>> done = work(none, {}, edition="", settings={}, effective_on=date(2026, 7, 1))
    >>> told(done)["value"], told(done)["words"]
    (None, 'none')
    """
    calculation, answer = worked.calculation, worked.answer
    first = answer.first
    return {
        "calculation": calculation.name,
        "title": calculation.title,
        "value": quantity(first.reported) if first else None,
        "exact": quantity(first.exact) if first else None,
        "words": answer.words,
        "verdict": _verdict(answer.verdict) if answer.verdict else None,
        "figures": {name: _working(made) for name, made in answer.figures.items()},
        "edition": worked.terms.edition,
        "settings": [_used(used) for used in worked.terms.used(*calculation.settings)],
        "sources": [str(source) for source in calculation.sources],
        "caution": calculation.caution,
    }


def quantity(value: Quantity) -> list[str]:
    """Return any quantity as it is read, its number [its own unit] written out.

    Source: project's choice.

    >>> from decimal import Decimal
    >>> quantity(Quantity(Decimal("1E+3"), "psi"))
    ['1000', 'psi']
    """
    return [f"{value.value:f}", value.unit]


def _working(working: Working) -> Plain:
    return {
        "title": working.title,
        "value": quantity(working.reported),
        "exact": quantity(working.exact),
        "rounding": working.rounding,
        "inputs": [
            {"name": given.name, "value": quantity(given.quantity)}
            for given in working.inputs
        ],
        "steps": [
            {"name": step.name, "line": step.line, "source": _source(step.source)}
            for step in working.steps
        ],
        "settings": [_used(used) for used in working.settings],
    }


def _used(used: Used) -> Plain:
    return {
        "name": used.term,
        "label": kind_of(used.term).label,
        "value": used.value,
        "source": str(used.source),
    }


def _source(source: Source | None) -> str | None:
    return None if source is None else str(source)


def _verdict(verdict: Verdict) -> Plain:
    until = verdict.holds_until
    return {
        "state": verdict.state.value,
        "rule": verdict.rule,
        "reasons": [_reason(reason) for reason in verdict.reasons],
        "holds_until": until.isoformat() if until else None,
        "ends_because": verdict.ends_because,
    }


def _reason(reason: Reason) -> Plain:
    return {
        "name": reason.key,
        "requirement": reason.requirement,
        "state": reason.state.value,
        "found": reason.found,
        "limit": quantity(reason.limit) if reason.limit else None,
        "margin": quantity(reason.margin) if reason.margin else None,
        "evidence": [ref.name for ref in reason.evidence],
        "source": str(reason.source),
    }
