"""What may happen next to a deficiency, a nonconformance report, a sheet, a packet.

One table each: from which states a move goes, who may make it, what must be given
with it, and where it leads. A refusal lists everything that stands against it.

Who may do what follows the table of abilities; that somebody other than the author
reviews, and other than the one who corrected looks again, is common practice, no
source. The weekly packet's road is the project's choice.
"""

from __future__ import annotations

from collections.abc import Iterable, Sequence
from dataclasses import dataclass, replace

from inspections.domain.move_needs import (
    CHOICE,
    PRACTICE,
    Given,
    Need,
    none_left,
    somebody_else,
    stated,
    the_same,
    words,
)
from project.domain.roles import Ability, Role, roles_with
from project.domain.verdict import Reason, State


@dataclass(frozen=True, slots=True)
class Move:
    """One move: where it starts, who may make it, what it needs, where it leads."""

    name: str
    sources: frozenset[str]
    roles: frozenset[Role]
    to: str
    needs: tuple[Need, ...] = ()


@dataclass(frozen=True, slots=True)
class MoveTable:
    """All moves of one kind of record. A state no move leaves is final.

    Raises ValueError for two moves of one name from one state, and for a state that
    is not among `states`.
    """

    name: str
    states: tuple[str, ...]
    initial: str
    moves: tuple[Move, ...]

    def __post_init__(self) -> None:
        _known_state(self, self.initial)
        seen: set[tuple[str, str]] = set()
        for move in self.moves:
            for state in (*move.sources, move.to):
                _known_state(self, state)
            for source in move.sources:
                if (source, move.name) in seen:
                    raise ValueError(f"{self.name}: {move.name} from {source} twice")
                seen.add((source, move.name))

    @property
    def final(self) -> frozenset[str]:
        """The states that no move leaves."""
        left = {state for move in self.moves for state in move.sources}
        return frozenset(self.states) - left

    def from_state(self, state: str) -> tuple[Move, ...]:
        """Return the moves that leave a state. Raises ValueError for no state."""
        _known_state(self, state)
        return tuple(move for move in self.moves if state in move.sources)

    def with_moves(self, *moves: Move, states: Sequence[str] = ()) -> MoveTable:
        """Return this table with more states and moves, the old ones unchanged."""
        return replace(
            self, states=(*self.states, *states), moves=(*self.moves, *moves)
        )


def next_state(
    table: MoveTable, state: str, move: str, *, role: Role, given: Given
) -> str | tuple[Reason, ...]:
    """Return the state a move leads to, or every reason why it may not be made.

    `given` holds what comes with the move and what is known of the record, by the
    names the needs use. Raises ValueError for a state the table does not have; a move
    it does not have from here is a reason, for two people may press at once.
    Source: the table's own needs.

    >>> next_state(PACKET, "prepared", "review", role=Role.AGENCY_REVIEWER,
    ...            given={"by": "reviewer", "prepared_by": "inspector"})
    'reviewed'
    >>> refused = next_state(PACKET, "issued", "review", role=Role.OWNER, given={})
    >>> refused[0].found
    'review from issued'
    """
    made = next((m for m in table.from_state(state) if m.name == move), None)
    if made is None:
        return (_no_such_move(table, state, move),)
    reasons = (*_role_reasons(made, role), *_need_reasons(made, given))
    return reasons or made.to


def fold(table: MoveTable, moves: Iterable[str]) -> str:
    """Return the state a record is in after its moves, made in order.

    Raises ValueError naming the move that does not follow. Source: the table.

    >>> fold(DEFICIENCY, ["correct", "find still wrong", "correct", "find right"])
    'closed'
    """
    state = table.initial
    for name in moves:
        made = next((m for m in table.from_state(state) if m.name == name), None)
        if made is None:
            raise ValueError(f"{table.name}: {name} does not follow {state}")
        state = made.to
    return state


def open_to(table: MoveTable, state: str, *, role: Role) -> tuple[str, ...]:
    """Return the moves a role may make from a state, before their needs are looked at.

    Raises ValueError for a state the table does not have. Source: the table.

    >>> open_to(DEFICIENCY, "corrected", role=Role.OWNER)
    ()
    """
    return tuple(m.name for m in table.from_state(state) if role in m.roles)


def _known_state(table: MoveTable, state: str) -> None:
    if state not in table.states:
        allowed = ", ".join(table.states)
        raise ValueError(f"{table.name}: state {state!r}: allowed are {allowed}")


def _no_such_move(table: MoveTable, state: str, move: str) -> Reason:
    leaving = ", ".join(m.name for m in table.from_state(state)) or "none"
    return Reason(
        key="move",
        requirement=f"{table.name} {state}: the moves from here are {leaving}",
        state=State.FAIL,
        found=f"{move} from {state}",
        source=CHOICE,
    )


def _role_reasons(move: Move, role: Role) -> Iterable[Reason]:
    if role not in move.roles:
        allowed = ", ".join(one for one in Role if one in move.roles)
        yield Reason(
            key="role",
            requirement=f"{move.name} is made by: {allowed}",
            state=State.FAIL,
            found=role,
            source=CHOICE,
        )


def _need_reasons(move: Move, given: Given) -> Iterable[Reason]:
    for need in move.needs:
        if not need.met(given):
            yield Reason(
                key=need.key,
                requirement=need.requirement,
                state=State.FAIL,
                found=str(given.get(need.key) or "not given"),
                source=need.source,
            )


def _who(*abilities: Ability) -> frozenset[Role]:
    return frozenset(role for ability in abilities for role in roles_with(ability))


_KEEPERS = _who(Ability.WRITE_SHEET)
_OWN_FIRM = the_same(
    "firm", "opened_by_firm", "it is looked at again by the firm that wrote it down"
)
_ANOTHER_PERSON = somebody_else(
    "by", "corrected_by", "it is looked at again by somebody else than who corrected it"
)

_TOLD = (
    words("told", "who was told is named", PRACTICE),
    words("means", "how it was told is said: in person, phone, e-mail"),
)

DEFICIENCY = MoveTable(
    name="deficiency",
    states=("open", "corrected", "closed", "became a nonconformance"),
    initial="open",
    moves=(
        Move(
            "correct",
            frozenset({"open"}),
            _KEEPERS,
            "corrected",
            (
                words("words", "what was done is said in words"),
                words("corrected_by", "who corrected it is named", PRACTICE),
            ),
        ),
        Move(
            "find right",
            frozenset({"corrected"}),
            _KEEPERS,
            "closed",
            (_ANOTHER_PERSON, _OWN_FIRM),
        ),
        Move(
            "find still wrong",
            frozenset({"corrected"}),
            _KEEPERS,
            "open",
            (words("words", "what is still wrong is said in words"), _OWN_FIRM),
        ),
        Move(
            "make a nonconformance",
            frozenset({"open", "corrected"}),
            _who(Ability.RAISE_NONCONFORMANCE),
            "became a nonconformance",
            (words("nonconformance", "the nonconformance report is named"),),
        ),
        # Telling somebody leaves a deficiency where it is, so there is one each.
        Move("notify", frozenset({"open"}), _KEEPERS, "open", _TOLD),
        Move("notify", frozenset({"corrected"}), _KEEPERS, "corrected", _TOLD),
    ),
)

NONCONFORMANCE = MoveTable(
    name="nonconformance report",
    states=("raised", "notified", "closed"),
    initial="raised",
    moves=(
        Move(
            "notify",
            frozenset({"raised", "notified"}),
            _who(Ability.RAISE_NONCONFORMANCE),
            "notified",
            _TOLD,
        ),
        Move(
            "close",
            frozenset({"notified"}),
            _who(Ability.CLOSE_NONCONFORMANCE),
            "closed",
            (words("words", "why it may be closed is said in words", PRACTICE),),
        ),
    ),
)

# The states of a deficiency in which something still has to be done about it.
STILL_OPEN = ("open", "corrected")

_AMENDMENT = words("reason", "an amendment gives its reason", PRACTICE)
_SIGNING = (
    words("meaning", "what the signature means is chosen"),
    words("printed_name", "the signer's name is printed", PRACTICE),
    the_same("shown_sha256", "content_sha256", "what is signed is what was shown"),
    stated("may_sign", "the terms let this member sign"),
)

REPORT = MoveTable(
    name="daily field report",
    states=("draft", "signed", "reviewed", "amended"),
    initial="draft",
    moves=(
        Move(
            "sign",
            frozenset({"draft"}),
            _who(Ability.SIGN_REPORT),
            "signed",
            _SIGNING,
        ),
        Move(
            "review",
            frozenset({"signed", "amended"}),
            _who(Ability.REVIEW_REPORT),
            "reviewed",
            (
                somebody_else("by", "author", "somebody else than the author reviews"),
                none_left("flags", "every flag is cleared before review"),
            ),
        ),
        Move(
            "amend",
            frozenset({"signed", "reviewed", "amended"}),
            _who(Ability.SIGN_REPORT),
            "amended",
            (_AMENDMENT, *_SIGNING),
        ),
    ),
)

PACKET = MoveTable(
    name="packet",
    states=("prepared", "reviewed", "issued", "withdrawn", "superseded"),
    initial="prepared",
    moves=(
        Move(
            "review",
            frozenset({"prepared"}),
            _who(Ability.REVIEW_PACKET),
            "reviewed",
            (somebody_else("by", "prepared_by", "a second person reviews the packet"),),
        ),
        Move(
            "issue",
            frozenset({"reviewed"}),
            _who(Ability.ISSUE_PACKET),
            "issued",
            (words("file_sha256", "the issued file's hash is kept with it"),),
        ),
        Move(
            "withdraw",
            frozenset({"prepared", "reviewed"}),
            _who(Ability.PREPARE_PACKET),
            "withdrawn",
            (words("reason", "a packet that is not issued says why"),),
        ),
        Move(
            "supersede",
            frozenset({"issued"}),
            _who(Ability.ISSUE_PACKET),
            "superseded",
            (words("reason", "a later revision gives its reason", PRACTICE),),
        ),
    ),
)
