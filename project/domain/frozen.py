"""A conclusion as plain values, so that it can be frozen and read back the same.

The working is left out: it is built on demand from the same facts.
"""

from __future__ import annotations

from collections.abc import Mapping, Sequence
from datetime import UTC, datetime
from decimal import Decimal
from typing import Any

from project.domain.canonical import plain
from project.domain.units import Quantity
from project.domain.verdict import Known, Reason, Ref, Source, State, Verdict


def frozen(verdict: Verdict) -> dict[str, Any]:
    """Return a verdict with all its reasons as JSON's own kinds.

    Source: none needed, the shape is this project's. Raises ValueError for an
    instant without a zone.

    >>> verdict = Verdict(State.PASS, "every gate holds")
    >>> frozen(verdict)["state"], thawed(frozen(verdict)) == verdict
    ('pass', True)
    """
    return {
        "state": verdict.state.value,
        "rule": verdict.rule,
        "reasons": [_reason(reason) for reason in verdict.reasons],
        "holds_until": plain(verdict.holds_until),
        "ends_because": verdict.ends_because,
    }


def thawed(record: Mapping[str, Any]) -> Verdict:
    """Return the verdict that `frozen` wrote down.

    Source: as `frozen`. Raises KeyError or ValueError for another shape.

    >>> thawed({"state": "no data", "rule": "none", "reasons": [],
    ...         "holds_until": None, "ends_because": ""}).state
    <State.NO_DATA: 'no data'>
    """
    until = record["holds_until"]
    return Verdict(
        State(record["state"]),
        record["rule"],
        tuple(_thawed_reason(reason) for reason in record["reasons"]),
        holds_until=None if until is None else _instant(until),
        ends_because=record["ends_because"],
    )


def evidence_of(verdict: Verdict) -> tuple[Ref, ...]:
    """Return every record a verdict rests on, each once, in order of its reasons.

    Source: none needed, a list of what the reasons name.

    >>> evidence_of(Verdict(State.PASS, "every gate holds"))
    ()
    """
    named = (ref for reason in verdict.reasons for ref in reason.evidence)
    return tuple(dict.fromkeys(named))


def _reason(reason: Reason) -> dict[str, Any]:
    source = reason.source
    return {
        "key": reason.key,
        "requirement": reason.requirement,
        "state": reason.state.value,
        "found": reason.found,
        "source": [source.document, source.section, source.year, source.known.value],
        "limit": _pair(reason.limit),
        "margin": _pair(reason.margin),
        "evidence": [[ref.kind, ref.id, ref.name] for ref in reason.evidence],
    }


def _thawed_reason(record: Mapping[str, Any]) -> Reason:
    document, section, year, known = record["source"]
    return Reason(
        key=record["key"],
        requirement=record["requirement"],
        state=State(record["state"]),
        found=record["found"],
        source=Source(document, section, year, Known(known)),
        limit=_quantity(record["limit"]),
        margin=_quantity(record["margin"]),
        evidence=tuple(Ref(*ref) for ref in record["evidence"]),
    )


def _pair(quantity: Quantity | None) -> list[str] | None:
    return None if quantity is None else [f"{quantity.value:f}", quantity.unit]


def _quantity(pair: Sequence[str] | None) -> Quantity | None:
    return None if pair is None else Quantity(Decimal(pair[0]), pair[1])


def _instant(text: str) -> datetime:
    return datetime.fromisoformat(text).astimezone(UTC)
