"""One walk at the wall: what was answered, what may not be answered so, what it counts.

A round is the four hearts, one grouped answer for the rest, and exceptions. An item
nobody answered was not looked at.

Source: project's choice for the shape; that a heart is never answered in a group is
common practice, no source.
"""

from __future__ import annotations

from collections.abc import Collection, Iterable, Mapping, Sequence
from dataclasses import dataclass

from inspections.domain.catalogue import (
    AnsweredBy,
    AnswerState,
    Edition,
    Item,
    Need,
)
from project.domain.units import Quantity, units_of


@dataclass(frozen=True, slots=True)
class RoundAnswer:
    """One item's answer. `cause` and `correction` are chips or typed words.

    `grouped` says it was given with "the rest as it should be", not by itself.
    `photographs` are the numbers or identities of pictures.
    """

    item: str
    answer: AnswerState
    grouped: bool = False
    value: Quantity | None = None
    cause: str = ""
    correction: str = ""
    note: str = ""
    photographs: tuple[str, ...] = ()


@dataclass(frozen=True, slots=True)
class RoundFault:
    """One reason why a round cannot be kept as given, as a person reads it.

    >>> print(RoundFault("mat-slump", "value", "3 psi", "a length"))
    mat-slump: value 3 psi: allowed is a length
    """

    item: str
    field: str
    value: str
    allowed: str

    def __str__(self) -> str:
        return f"{self.item}: {self.field} {self.value}: allowed is {self.allowed}"


@dataclass(frozen=True, slots=True)
class RoundCount:
    """How many of the items asked stand how. `grouped` is contained in `right`."""

    asked: int
    right: int
    grouped: int
    deficient: int
    does_not_apply: int
    not_looked_at: int


def round_faults(
    answers: Sequence[RoundAnswer],
    *,
    edition: Edition,
    asked: Sequence[Item],
    features: Mapping[Need, bool],
) -> tuple[RoundFault, ...]:
    """Return everything that keeps a round from being recorded, all of it at once.

    `asked` are the items of this walk, from `items_for`, and `features` what is known
    of the part. An empty answer means there is nothing to say against the round.
    Source: project's choice; the hearts by themselves are common practice.

    >>> none = Edition("own", "0.1.0", ("en",), {}, {}, {}, {}, {}, ())
    >>> made_up = RoundAnswer("place-luck", AnswerState.RIGHT)
    >>> for fault in round_faults([made_up], edition=none, asked=(), features={}):
    ...     print(fault)
    place-luck: item not in the catalogue: allowed is an item of the catalogue,
        edition 0.1.0
    """
    here = {item.key: item for item in asked}
    faults: list[RoundFault] = []
    seen: set[str] = set()
    for given in answers:
        if given.item in seen:
            faults.append(
                RoundFault(given.item, "item", "answered twice", "one answer")
            )
        seen.add(given.item)
        item = here.get(given.item)
        if item is None:
            faults.append(_not_of_this_round(given.item, edition=edition))
        else:
            faults.extend(_answer_faults(given, item=item, features=features))
    return tuple(faults)


def _not_of_this_round(key: str, *, edition: Edition) -> RoundFault:
    if not edition.has(key):
        allowed = f"an item of the catalogue, edition {edition.version}"
        return RoundFault(key, "item", "not in the catalogue", allowed)
    if not edition.item(key).asked:
        allowed = f"no answer: it is worked out from {edition.item(key).records}"
        return RoundFault(key, "item", "answered by hand", allowed)
    allowed = "an item of this round's kinds, process, position and features"
    return RoundFault(key, "item", "not asked on this round", allowed)


def _answer_faults(
    given: RoundAnswer, *, item: Item, features: Mapping[Need, bool]
) -> Iterable[RoundFault]:
    if given.grouped:
        yield from _grouped_faults(given, item=item)
    yield from _value_faults(given, item=item)
    unlikely = item.needs is Need.ALWAYS or features.get(item.needs) is True
    if (
        given.answer is AnswerState.DOES_NOT_APPLY
        and unlikely
        and not given.note.strip()
    ):
        allowed = "a note that says why it does not exist here"
        yield RoundFault(item.key, "note", "empty", allowed)


def _grouped_faults(given: RoundAnswer, *, item: Item) -> Iterable[RoundFault]:
    if given.answer not in (AnswerState.RIGHT, AnswerState.NOT_LOOKED_AT):
        allowed = "right, or not looked at; anything else is given by itself"
        yield RoundFault(item.key, "grouped answer", given.answer, allowed)
    if not item.groupable:
        allowed = "its own answer: hearts, readings, safety and stop-work items"
        yield RoundFault(item.key, "grouped answer", given.answer, allowed)


def _value_faults(given: RoundAnswer, *, item: Item) -> Iterable[RoundFault]:
    value = given.value
    if value is None:
        if item.answered_by is AnsweredBy.MEASURE and given.answer is AnswerState.RIGHT:
            allowed = f"a reading in one of {', '.join(units_of(item.dimension))}"
            yield RoundFault(item.key, "value", "missing", allowed)
        return
    if given.answer in (AnswerState.DOES_NOT_APPLY, AnswerState.NOT_LOOKED_AT):
        allowed = f"no reading with {given.answer}"
        yield RoundFault(item.key, "value", str(value), allowed)
    elif given.grouped:
        yield RoundFault(
            item.key, "value", str(value), "no reading in a grouped answer"
        )
    elif not item.unit:
        yield RoundFault(item.key, "value", str(value), "no reading on this item")
    elif value.dimension != item.dimension:
        allowed = f"a reading in one of {', '.join(units_of(item.dimension))}"
        yield RoundFault(item.key, "value", str(value), allowed)


def the_rest(
    answers: Sequence[RoundAnswer], *, asked: Sequence[Item], answer: AnswerState
) -> tuple[RoundAnswer, ...]:
    """Return the grouped answers of one tap on "the rest as it should be".

    Only groupable items that have no answer yet are covered, whatever was tapped.
    Raises ValueError for an answer that a group may not give. Source: common practice,
    no source.

    >>> the_rest([], asked=(), answer=AnswerState.DEFICIENT)
    Traceback (most recent call last):
    ValueError: the rest as deficient: allowed are right, not_looked_at
    """
    if answer not in (AnswerState.RIGHT, AnswerState.NOT_LOOKED_AT):
        raise ValueError(f"the rest as {answer}: allowed are right, not_looked_at")
    given = {one.item for one in answers}
    return tuple(
        RoundAnswer(item.key, answer, grouped=answer is AnswerState.RIGHT)
        for item in asked
        if item.groupable and item.key not in given
    )


def in_full(
    answers: Sequence[RoundAnswer], *, asked: Sequence[Item]
) -> tuple[RoundAnswer, ...]:
    """Return one answer for every item asked, in order; silence is not looked at.

    Source: project's choice.

    >>> in_full([RoundAnswer("place-luck", AnswerState.RIGHT)], asked=())
    ()
    """
    given = {one.item: one for one in answers}
    silent = AnswerState.NOT_LOOKED_AT
    return tuple(given.get(item.key, RoundAnswer(item.key, silent)) for item in asked)


def count(answers: Sequence[RoundAnswer], *, asked: Sequence[Item]) -> RoundCount:
    """Return how many items asked stand how; what was not answered counts too.

    Source: project's choice.

    >>> count([], asked=[])
    RoundCount(asked=0, right=0, grouped=0, deficient=0, does_not_apply=0, not_looked_at=0)
    """
    whole = in_full(answers, asked=asked)
    states = [one.answer for one in whole]
    return RoundCount(
        asked=len(whole),
        right=states.count(AnswerState.RIGHT),
        grouped=sum(one.grouped and one.answer is AnswerState.RIGHT for one in whole),
        deficient=states.count(AnswerState.DEFICIENT),
        does_not_apply=states.count(AnswerState.DOES_NOT_APPLY),
        not_looked_at=states.count(AnswerState.NOT_LOOKED_AT),
    )


def photographs_owed(
    answers: Sequence[RoundAnswer], *, edition: Edition, shown: Collection[str] = ()
) -> tuple[str, ...]:
    """Return the items whose deficient answer still wants a picture.

    Hearts and hardened work demand one; `shown` names items whose picture hangs on
    their deficiency instead of the answer. Recording is never held up by it. Source:
    project's choice.

    >>> none = Edition("own", "0.1.0", ("en",), {}, {}, {}, {}, {}, ())
    >>> photographs_owed([RoundAnswer("place-luck", AnswerState.RIGHT)], edition=none)
    ()
    """
    return tuple(
        one.item
        for one in answers
        if one.answer is AnswerState.DEFICIENT
        and not one.photographs
        and one.item not in shown
        and edition.item(one.item).photograph_demanded
    )
