"""The hash chain: how a line is sealed, and how a whole stream is checked."""

from __future__ import annotations

from collections.abc import Iterator
from dataclasses import dataclass
from datetime import date, datetime
from decimal import Decimal
from typing import Any

from django.apps import apps
from django.db import models

from project.domain.canonical import sha256_of
from project.models.audit import AuditEvent, AuditHead
from project.models.records import Identified

# What a row's digest leaves out: secrets, and what the framework writes by itself.
_LEFT_OUT = {"user": {"password", "last_login"}}


def row_digest(row: models.Model, *, known_at: datetime | None = None) -> str:
    """Return the hash of a row's own columns, the same on either database.

    With `known_at`, columns that were filled in a later act count as empty still. A
    column that the table got later counts only where it holds something, so that rows
    from before it keep the hash their line names.
    """
    left_out = _LEFT_OUT.get(row._meta.model_name or "", set())
    later = set() if known_at is None else _filled_after(row, known_at)
    content = {
        field.attname: _plain(
            field, _empty(field) if field.name in later else getattr(row, field.attname)
        )
        for field in row._meta.concrete_fields
        if field.attname not in left_out
    }
    added: frozenset[str] = getattr(row, "ADDED", frozenset())
    kept = {k: v for k, v in content.items() if k not in added or v not in (None, "")}
    return sha256_of(kept)


def _empty(field: models.Field[Any, Any]) -> str | None:
    return None if field.null else ""


def _filled_after(row: models.Model, instant: datetime) -> set[str]:
    """Return the once-columns of a row that were empty at an instant."""
    later: set[str] = set()
    for recorded, columns in getattr(row, "ONCE", {}).items():
        filled = getattr(row, recorded)
        if filled is not None and filled > instant:
            later |= {recorded, *columns}
    return later


def _plain(field: models.Field[Any, Any], value: Any) -> Any:
    """Return a value as the database gives it back: typed text has no say here."""
    if isinstance(field, models.DecimalField) and value is not None:
        places = Decimal(1).scaleb(-field.decimal_places)
        kept = Decimal(value).quantize(places)
        return str(kept or abs(kept))  # neither database keeps the sign of a zero
    if isinstance(value, str):
        return str(value)  # a choice's own class is left behind
    if value is None or isinstance(value, (bool, int, list, dict, datetime, date)):
        return value
    return str(value)


def seal(event: AuditEvent) -> str:
    """Return the hash of a line, which holds its stream, its place and the one before."""
    return sha256_of(
        [
            event.stream,
            event.seq,
            event.at,
            str(event.actor_id),
            event.actor_text,
            event.verb,
            event.subject_kind,
            str(event.subject_id),
            event.subject_text,
            event.payload,
            event.prev,
        ]
    )


@dataclass(frozen=True, slots=True)
class Break:
    """The first place where the record does not hold together."""

    stream: str
    seq: int | None
    words: str

    def __str__(self) -> str:
        place = "end of the chain" if self.seq is None else f"line {self.seq}"
        return f"{self.stream}, {place}: {self.words}"


def verify_stream(stream: str, *, head: tuple[int, str] | None = None) -> Break | None:
    """Walk a whole chain and the rows it names; return the first break, or nothing.

    `head` is a sequence number and hash printed elsewhere (on a packet): with it
    a cut tail or a wholly rewritten chain is found too.
    """
    last: dict[tuple[str, str], tuple[str, int]] = {}
    prev, seq = "", 0
    printed_seen = head is None or head[0] == 0
    events = AuditEvent.objects.filter(stream=stream).order_by("seq")
    for event in events.iterator(chunk_size=2000):
        seq += 1
        if event.seq != seq:
            return Break(stream, seq, f"a line is absent; {event.seq} comes next")
        if event.prev != prev:
            return Break(stream, seq, "does not follow the line before it")
        if seal(event) != event.hash:
            return Break(stream, seq, "was changed after it was written")
        if head is not None and head[0] == seq:
            if head[1] != event.hash:
                return Break(stream, seq, "is not the line that was printed")
            printed_seen = True
        for kind, row_id, digest in event.payload["rows"]:
            last[kind, row_id] = (digest, seq)
        prev = event.hash
    return (
        _verify_end(stream, seq=seq, prev=prev, printed_seen=printed_seen)
        or _verify_rows(stream, last)
        or _verify_nothing_beside(stream, last)
    )


def _verify_end(
    stream: str, *, seq: int, prev: str, printed_seen: bool
) -> Break | None:
    if not printed_seen:
        return Break(stream, None, "the printed line lies beyond it: the tail is cut")
    end = AuditHead.objects.filter(stream=stream).first()
    if end is None:
        return Break(stream, None, "there is no such stream")
    if (end.seq, end.hash) != (seq, prev):
        return Break(stream, None, f"the head names line {end.seq}, the last is {seq}")
    return None


def _verify_rows(
    stream: str, last: dict[tuple[str, str], tuple[str, int]]
) -> Break | None:
    by_kind: dict[str, list[str]] = {}
    for kind, row_id in last:
        by_kind.setdefault(kind, []).append(row_id)
    for kind, ids in by_kind.items():
        found = {str(row.pk): row for row in _rows(kind, ids)}
        for row_id in ids:
            digest, seq = last[kind, row_id]
            row = found.get(row_id)
            if row is None:
                return Break(stream, seq, f"{kind} {row_id} is gone")
            if row_digest(row) != digest:
                return Break(stream, seq, f"{kind} {row_id} ({row}) was changed")
    return None


def _rows(kind: str, ids: list[str]) -> Iterator[models.Model]:
    model = model_of(kind)
    for start in range(0, len(ids), 500):
        yield from model._base_manager.filter(pk__in=ids[start : start + 500])


def _verify_nothing_beside(
    stream: str, last: dict[tuple[str, str], tuple[str, int]]
) -> Break | None:
    """Find a row of the stream that no act ever wrote."""
    owner, _, owner_id = stream.partition(":")
    column = {"job": "job_id", "org": "organization_id"}.get(owner)
    if column is None:
        return None  # a person's own stream names nothing but the person
    for model in apps.get_models():
        if not issubclass(model, Identified) or not _has(model, column):
            continue
        if owner == "org" and _has(model, "job_id"):
            continue
        kind = model._meta.model_name or ""
        named = model._base_manager.filter(**{column: owner_id})
        for row_id in named.values_list("pk", flat=True):
            if (kind, str(row_id)) not in last:
                return Break(stream, None, f"{kind} {row_id} was written by no act")
    return None


def _has(model: type[models.Model], column: str) -> bool:
    return any(field.attname == column for field in model._meta.concrete_fields)


def model_of(kind: str) -> type[models.Model]:
    """Return the table known by a name in audit lines. Raises LookupError."""
    for model in apps.get_models():
        if model._meta.model_name == kind and issubclass(model, Identified):
            return model
    raise LookupError(f"no table is known as {kind!r}")
