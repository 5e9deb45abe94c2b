"""The act: the only way anything is written.

    with act(on=job, by=member, verb="panel.shot") as deed:
        deed.add(Panel(id=id, ...))

The act locks the heads of its streams, takes its time under the lock, and leaves
one line that names every row it wrote, with the row's hash. An act inside an act
joins the outer one and leaves no line of its own.
"""

from __future__ import annotations

import threading
from collections.abc import Iterable, Iterator
from contextlib import contextmanager
from contextvars import ContextVar
from datetime import datetime, timedelta
from typing import Any, Protocol, TypeVar
from uuid import UUID

from django.core.exceptions import ValidationError
from django.db import IntegrityError, connection, models, transaction
from django.utils.translation import gettext as _

from project import clock
from project.audit.chain import row_digest, seal
from project.models.accounts import Membership, User
from project.models.audit import AuditEvent, AuditHead
from project.models.records import CompanyFact, Version, WrittenOnce

MICROSECOND = timedelta(microseconds=1)
_running: ContextVar[Deed | None] = ContextVar("running act", default=None)
# SQLite's busy wait is not a queue: a lock of our own keeps writers of one process fair.
_one_writer = threading.RLock()

M = TypeVar("M", bound=models.Model)
V = TypeVar("V", bound=Version)
W = TypeVar("W", bound=WrittenOnce)


class Deed:
    """A running act: its time, its actor, and the rows it has written so far."""

    def __init__(
        self, *, at: datetime, by: Membership | User, verb: str, stream: str
    ) -> None:
        self.at = at
        self.by = by
        self.verb = verb
        self.stream = stream
        self.rows: dict[UUID, models.Model] = {}
        self.changes: dict[str, dict[str, list[str]]] = {}
        self.words: dict[str, str] = {}
        self.subject: models.Model | None = None

    def already(self, model: type[M], id: UUID) -> M | None:
        """Return the row this request made before, if it was sent twice."""
        return next(iter(model._base_manager.filter(pk=id).order_by()), None)

    def add(self, row: M) -> M:
        """Write a new row: clean it, stamp it, insert it."""
        if isinstance(row, WrittenOnce):
            self._stamp(row)
        _saved(row, force_insert=True)
        return self._touched(row)

    def _stamp(self, row: WrittenOnce) -> None:
        """Give a new row the act's time and actor, and a first version its chain.

        Once-columns that it brings filled are known from this act on.
        """
        row.recorded_at = self.at
        for recorded, columns in type(row).ONCE.items():
            filled = any(getattr(row, name) not in (None, "") for name in columns)
            setattr(row, recorded, self.at if filled else None)
        if isinstance(row, CompanyFact):
            row.recorded_by = self._user()
        elif hasattr(row, "recorded_by_id"):
            setattr(row, "recorded_by", self.by)  # noqa: B010 a fact's, not every row's
        if isinstance(row, Version) and row.supersedes is None:
            row.first = row.pk

    def add_all(self, rows: Iterable[models.Model]) -> None:
        """Write many new rows that were computed or looked at: in one statement a table.

        Of two tables, rows that others point at come first.
        """
        made = list(rows)
        for row in made:
            if isinstance(row, WrittenOnce):
                self._stamp(row)
        for model in dict.fromkeys(type(row) for row in made):
            model._base_manager.bulk_create([r for r in made if type(r) is model])
        for row in made:
            self._touched(row)

    def supersede_all(self, pairs: Iterable[tuple[V, V]], *, reason: str) -> None:
        """Write new versions over old ones that were read in force under this lock."""
        versions = []
        for old, new in pairs:
            if not reason.strip():
                raise ValidationError({"reason": _("Say why: a reason is needed.")})
            new.first, new.supersedes, new.reason = old.first, old, reason
            versions.append(new)
        self.add_all(versions)

    def supersede(self, old: V, new: V, *, reason: str) -> V:
        """Write a new version over the one in force. Raises if it is not in force."""
        if not reason.strip():
            raise ValidationError({"reason": _("Say why: a reason is needed.")})
        if type(old)._base_manager.filter(supersedes=old.pk).exists():
            raise ValidationError(
                _("%(what)s was corrected by somebody else meanwhile: look again.")
                % {"what": old}
            )
        new.first, new.supersedes, new.reason = old.first, old, reason
        return self.add(new)

    def change(self, row: M, **values: Any) -> M:
        """Edit a living row; the line keeps each column before and after.

        The row is read anew under the lock: a copy from before another's act would
        be hashed as it stood then.
        """
        row.refresh_from_db()
        before = {name: getattr(row, name) for name in values}
        changed = [name for name, value in values.items() if before[name] != value]
        if not changed:
            return row
        for name in changed:
            setattr(row, name, values[name])
        _saved(row, update_fields=changed)
        self.changes[str(row.pk)] = {
            name: [str(before[name]), str(getattr(row, name))] for name in changed
        }
        return self._touched(row)

    def fill(self, row: W, **values: Any) -> W:
        """Give once-columns their value; each group's own clock is set with it."""
        once = type(row).ONCE
        known = {column for columns in once.values() for column in columns}
        for name, value in values.items():
            if name not in known:
                raise ValueError(f"{row._meta.label}.{name} is not filled later")
            if getattr(row, name) not in (None, ""):
                message = _("%(name)s is on record already.") % {"name": name}
                raise ValidationError({name: message})
            setattr(row, name, value)
        for recorded, columns in once.items():
            if any(column in values for column in columns):
                setattr(row, recorded, self.at)
                values[recorded] = self.at
        _saved(row, update_fields=list(values))
        return self._touched(row)

    def say(self, **words: str) -> None:
        """Keep words on the line: typed text, what was told, what was decided."""
        self.words.update(words)

    def _touched(self, row: M) -> M:
        if self.subject is None:
            self.subject = row
        self.rows.pop(row.pk, None)
        self.rows[row.pk] = row
        return row

    def _user(self) -> User:
        return self.by if isinstance(self.by, User) else self.by.user

    def payload(self) -> dict[str, Any]:
        return {
            "rows": [
                [row._meta.model_name, str(row.pk), row_digest(row)]
                for row in self.rows.values()
            ],
            "changes": self.changes,
            "words": self.words,
        }


def _saved(row: models.Model, **how: Any) -> None:
    """Save a row, its own fields checked here and everything else by the database.

    Asking for each foreign key and rule beforehand costs more than all the rest of an
    act; so the rules are put in words only where the database refused.
    """
    links = {f.name for f in row._meta.concrete_fields if f.is_relation}
    row.full_clean(exclude=links, validate_unique=False, validate_constraints=False)
    try:
        with transaction.atomic():
            row.save(**how)
    except IntegrityError:
        row.full_clean()
        raise


class Streamed(Protocol):
    """What an act is on: a job, a firm, or a person."""

    @property
    def stream(self) -> str: ...


@contextmanager
def act(
    *,
    on: Streamed,
    by: Membership | User,
    verb: str,
    also: Iterable[Streamed] = (),
) -> Iterator[Deed]:
    """Run one act and leave its line on one stream. Nothing written, no line.

    `also` names streams that must stand still meanwhile. A living row is always
    written on the same stream, or its hash on another would grow stale.
    """
    outer = _running.get()
    if outer is not None:
        if outer.stream != on.stream:
            raise ValueError(f"act {verb} on {on.stream} inside one on {outer.stream}")
        yield outer
        return
    with _fair_turn(), transaction.atomic():
        streams = sorted({on.stream, *(other.stream for other in also)})
        heads = {stream: _locked_head(stream) for stream in streams}
        latest = max(head.at for head in heads.values())
        at = max(clock.now(), latest + MICROSECOND)
        deed = Deed(at=at, by=by, verb=verb, stream=on.stream)
        token = _running.set(deed)
        try:
            yield deed
        finally:
            _running.reset(token)
        if deed.subject is not None:
            _append(heads[on.stream], deed, subject=deed.subject)
            for head in heads.values():
                _move_on(head, deed.at)


@contextmanager
def _fair_turn() -> Iterator[None]:
    if connection.features.has_select_for_update:
        yield
    else:
        with _one_writer:
            yield


def _locked_head(stream: str) -> AuditHead:
    head = AuditHead.objects.select_for_update().filter(stream=stream).first()
    if head is not None:
        return head
    AuditHead.objects.bulk_create(
        [AuditHead(stream=stream, at=clock.now() - MICROSECOND)], ignore_conflicts=True
    )
    return AuditHead.objects.select_for_update().get(stream=stream)


def _append(head: AuditHead, deed: Deed, *, subject: models.Model) -> None:
    event = AuditEvent(
        stream=head.stream,
        seq=head.seq + 1,
        at=deed.at,
        actor_id=deed.by.pk,
        actor_text=str(deed.by)[:200],
        verb=deed.verb,
        subject_kind=subject._meta.model_name or "",
        subject_id=subject.pk,
        subject_text=str(subject)[:200],
        payload=deed.payload(),
        prev=head.hash,
    )
    event.hash = seal(event)
    event.save(force_insert=True)
    head.seq, head.at, head.hash = event.seq, event.at, event.hash
    head.save(update_fields=["seq", "at", "hash"])


def _move_on(head: AuditHead, at: datetime) -> None:
    """Let nothing be recorded on a stream before what was read of it, as known then."""
    if head.at != at:
        head.at = at
        head.save(update_fields=["at"])
