"""What a file of operators and cards would change, row by row, beside the record.

An operator is known by the firm's badge alone. A badge on record under another name is
a conflict and is not saved; a name on record under another badge is a new operator, and
the row says so. A card is known by scheme, number and day of issue: with the same
number and another day of issue it is a renewed card, which stands beside the old one.
"""

from __future__ import annotations

from collections.abc import Iterable, Mapping, Sequence
from dataclasses import dataclass, field
from datetime import date
from enum import StrEnum
from uuid import UUID

from crews.domain.certification import Card, CardFace
from crews.domain.operator_import import Cells, Column, Fault, TypedRow, read_row
from project.domain.canonical import sha256_of


class RowState(StrEnum):
    """What becomes of a row, the one that needs somebody first."""

    REFUSED = "refused"
    CHANGED = "card changed"
    NEW_CARD = "new card"
    NEW_OPERATOR = "new operator"
    UNCHANGED = "unchanged"


@dataclass(frozen=True, slots=True)
class OnRecord:
    """An operator of the firm with the cards that stand, and those taken back."""

    id: UUID
    badge: str
    name: str
    aliases: tuple[str, ...] = ()
    cards: tuple[Card, ...] = ()
    taken_back: tuple[Card, ...] = ()

    def goes_by(self, name: str) -> bool:
        """Say whether a name is this operator's, or a spelling that is on record."""
        return _same(name) in {_same(known) for known in (self.name, *self.aliases)}


@dataclass(frozen=True, slots=True)
class Change:
    """One thing that a card says otherwise than the record."""

    column: Column
    before: str
    after: str


@dataclass(frozen=True, slots=True, kw_only=True)
class Outcome:
    """One row with what becomes of it. `operator` and `supersedes` are on record."""

    number: int
    state: RowState
    badge: str
    name: str
    card: CardFace | None = None
    operator: UUID | None = None
    supersedes: UUID | None = None
    changes: tuple[Change, ...] = ()
    faults: tuple[Fault, ...] = ()
    remarks: tuple[str, ...] = ()

    @property
    def prints(self) -> str:
        """What the row's card prints, pair by pair."""
        return "" if self.card is None else classes_text(self.card.classes)


def outcomes(
    rows: Iterable[Cells], *, record: Sequence[OnRecord], today: date
) -> tuple[Outcome, ...]:
    """Return what becomes of each row, with all its faults. Raises nothing.

    `record` is every operator of the firm with the cards that stand; `today` the date
    on the job's calendar. Source: project's choice; never matched on a name alone.

    >>> from uuid import UUID
    >>> known = OnRecord(UUID(int=1), "B-1", "Ana Ruiz")
    >>> rows = [Cells(2, {Column.BADGE: "B-1", Column.NAME: "Ana Ruis"}),
    ...     Cells(3, {Column.BADGE: "B-2", Column.NAME: "Ana Ruiz"})]
    >>> for row in outcomes(rows, record=[known], today=date(2026, 9, 14)):
    ...     print(row.state, *row.faults, *row.remarks)
    refused legal name: Ana Ruis; badge B-1 is Ana Ruiz on record, allowed is that
    name or another badge
    new operator The same name as badge B-1: is it one person?
    """
    beside = _Beside(record)
    return tuple(beside.row(row, read_row(row, today=today)) for row in rows)


def outcome_digest(found: Sequence[Outcome], *, file: str) -> str:
    """Return the hash of a file's hash with all that would become of its rows.

    The same only while the record beside it is the same. Source: FIPS 180-4 (2015).

    >>> outcome_digest((), file="ab") == outcome_digest((), file="ac")
    False
    """
    return sha256_of([file, [_told(row) for row in found]])


def _told(row: Outcome) -> list[object]:
    changes = [[c.column, c.before, c.after] for c in row.changes]
    faults = [str(fault) for fault in row.faults]
    chains = [row.operator, row.supersedes]
    return [row.number, row.state, *chains, changes, faults, list(row.remarks)]


def _same(text: str) -> str:
    return " ".join(text.split()).casefold()


CardKey = tuple[str, str, date]


def _key(card: Card | CardFace) -> CardKey:
    return card.scheme, _same(card.number), card.issued_on


@dataclass(slots=True)
class _Person:
    """Whom a badge means so far: on record, or since an earlier row of the file."""

    badge: str
    known: OnRecord | None
    name: str
    row: int = 0
    cards: list[Card | CardFace] = field(default_factory=list)


class _Beside:
    """The record with the rows that were laid beside it so far."""

    def __init__(self, record: Sequence[OnRecord]) -> None:
        self.people = {
            one.badge: _Person(one.badge, one, one.name, cards=list(one.cards))
            for one in record
        }
        self.spelt = {_same(badge): badge for badge in self.people}
        self.names: dict[str, list[str]] = {}
        for one in record:
            for name in dict.fromkeys(map(_same, (one.name, *one.aliases))):
                self.names.setdefault(name, []).append(one.badge)
        self.standing = {
            (one.badge, _key(card)): card for one in record for card in one.cards
        }
        self.taken_back = {
            (one.badge, _key(card)) for one in record for card in one.taken_back
        } - self.standing.keys()
        # Whose a card is, and the row of the file it stands in; 0 is the record.
        self.holders = {key: (badge, 0) for badge, key in self.standing}

    def row(self, cells: Cells, read: TypedRow | tuple[Fault, ...]) -> Outcome:
        """Lay one row beside the record and the rows before it."""
        if isinstance(read, tuple):
            shown = [cells.cells.get(c, "")[:120] for c in (Column.BADGE, Column.NAME)]
            return Outcome(
                number=cells.number,
                state=RowState.REFUSED,
                badge=" ".join(shown[0].split()),
                name=" ".join(shown[1].split()),
                faults=read,
            )
        person, faults = self._person(read)
        if person is not None:
            faults = self._card_faults(read, person)
        if person is None or faults:
            return _refused(read, faults)
        return self._becomes(read, person)

    def _person(self, row: TypedRow) -> tuple[_Person | None, tuple[Fault, ...]]:
        """Return whom the badge means, a new person for a new one; or why nobody."""
        written = self.spelt.get(_same(row.badge), row.badge)
        if written != row.badge:
            words = f"{row.badge} is written {written}; allowed is that, or another"
            return None, (Fault(Column.BADGE, words),)
        person = self.people.get(row.badge)
        if person is None:
            return _Person(row.badge, None, row.name), ()
        if person.known is not None and not person.known.goes_by(row.name):
            told = f"badge {row.badge} is {person.name} on record"
            words = f"{row.name}; {told}, allowed is that name or another badge"
            return None, (Fault(Column.NAME, words),)
        if person.known is None and _same(person.name) != _same(row.name):
            told = f"badge {row.badge} is {person.name} in row {person.row}"
            words = f"{row.name}; {told}, allowed is that name or another badge"
            return None, (Fault(Column.NAME, words),)
        return person, ()

    def _card_faults(self, row: TypedRow, person: _Person) -> tuple[Fault, ...]:
        """Return why the row cannot stand beside an earlier one, or another's card."""
        if row.card is None:
            if not person.row:
                return ()
            told = f"{row.badge} stands in row {person.row} already"
            words = f"{told}; allowed is one row for who has no card in it"
            return (Fault(Column.BADGE, words),)
        key = _key(row.card)
        badge, number = self.holders.get(key, (row.badge, 0))
        told = f"{row.card.number} of {row.card.scheme}, issued {row.card.issued_on},"
        if number:
            words = f"{told} stands in row {number} already; allowed is a card once"
        elif badge != row.badge and (row.badge, key) not in self.standing:
            words = f"{told} is the card of badge {badge}; allowed is one's own"
        elif (row.badge, key) in self.taken_back:
            words = f"{told} was taken back on record; allowed is a card that stands"
        else:
            return ()
        return (Fault(Column.NUMBER, words),)

    def _becomes(self, row: TypedRow, person: _Person) -> Outcome:
        new = person.known is None and not person.row
        remarks = self._same_name(row) if new else ()
        changes: tuple[Change, ...] = ()
        standing = None
        if row.card is not None:
            standing = self.standing.get((row.badge, _key(row.card)))
            if standing is not None:
                changes = _changes(standing, row.card)
            remarks += _card_remarks(row.card, standing, person.cards)
        state = _state(new=new, card=row.card, standing=standing, changes=changes)
        self._keep(row, person, standing)
        return Outcome(
            number=row.number,
            state=state,
            badge=row.badge,
            name=row.name,
            card=row.card,
            operator=None if person.known is None else person.known.id,
            supersedes=standing.id if standing is not None and changes else None,
            changes=changes,
            remarks=remarks,
        )

    def _same_name(self, row: TypedRow) -> tuple[str, ...]:
        others = self.names.get(_same(row.name), [])
        if not others:
            return ()
        return (f"The same name as badge {', '.join(others)}: is it one person?",)

    def _keep(self, row: TypedRow, person: _Person, standing: Card | None) -> None:
        if row.badge not in self.people:
            self.people[row.badge] = person
            self.spelt[_same(row.badge)] = row.badge
            self.names.setdefault(_same(row.name), []).append(row.badge)
        person.row = person.row or row.number
        if row.card is not None:
            self.holders[_key(row.card)] = (row.badge, row.number)
            person.cards = [c for c in person.cards if c is not standing]
            person.cards.append(row.card)


def _refused(row: TypedRow, faults: tuple[Fault, ...]) -> Outcome:
    return Outcome(
        number=row.number,
        state=RowState.REFUSED,
        badge=row.badge,
        name=row.name,
        card=row.card,
        faults=faults,
    )


def _state(
    *,
    new: bool,
    card: CardFace | None,
    standing: Card | None,
    changes: tuple[Change, ...],
) -> RowState:
    if new:
        return RowState.NEW_OPERATOR
    if card is None:
        return RowState.UNCHANGED
    if standing is None:
        return RowState.NEW_CARD
    return RowState.CHANGED if changes else RowState.UNCHANGED


def classes_text(classes: Iterable[tuple[str, str]]) -> str:
    """Return what a card prints, as a file has it: pairs with commas between.

    Source: this project's own form of a file. Raises nothing.

    >>> classes_text({("wet", "vertical"), ("wet", "overhead")})
    'wet overhead, wet vertical'
    """
    return ", ".join(f"{process} {position}" for process, position in sorted(classes))


def _changes(before: Card, after: CardFace) -> tuple[Change, ...]:
    """Return what a card says otherwise; by what it is known by it is the same."""
    pairs: Mapping[Column, tuple[str, str]] = {
        Column.NUMBER: (before.number, after.number),
        Column.METHOD: (before.method, after.method),
        Column.LEVEL: (before.level, after.level),
        Column.CLASSES: (classes_text(before.classes), classes_text(after.classes)),
        Column.EXPIRES: (before.expires_on.isoformat(), after.expires_on.isoformat()),
    }
    return tuple(Change(c, old, new) for c, (old, new) in pairs.items() if old != new)


def _card_remarks(
    card: CardFace, standing: Card | None, others: Sequence[Card | CardFace]
) -> tuple[str, ...]:
    """Say which cards are valid on the same days for the same work."""
    return tuple(
        f"Overlaps card {other.number}, {other.issued_on} to {other.expires_on}"
        for other in others
        if other is not standing
        and (other.scheme, other.method) == (card.scheme, card.method)
        and other.classes & card.classes
        and other.issued_on <= card.expires_on
        and card.issued_on <= other.expires_on
    )
