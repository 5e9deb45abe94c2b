"""The observation catalogue: what an inspector looks at, and how it may be answered.

An edition is reviewed text; this module only knows its shape. It carries no limit:
a limit comes from the mix revision, then the contract's terms, then none.

Source: the catalogue's own edition files (project's choice); the words for hold,
encasement, rebound and sand pocket are common practice, no source.
"""

from __future__ import annotations

from collections.abc import Collection, Mapping
from dataclasses import dataclass
from enum import StrEnum

from project.domain.shooting_words import Position, Process
from project.domain.units import dimension


class Phase(StrEnum):
    """A stretch of the work, in the order it happens."""

    PREP = "prep"
    EQUIP = "equip"
    MAT = "mat"
    PLACE = "place"
    FINISH = "finish"
    CURE = "cure"
    AFTER = "after"


class RoundKind(StrEnum):
    """The moment an item is looked at; one walk may serve several."""

    ELEMENT = "element"
    SHIFT = "shift"
    LOAD = "load"
    ROUND = "round"
    LAYER = "layer"
    FINISH = "finish"
    VISIT = "visit"
    HARDENED = "hardened"


class AnswerState(StrEnum):
    """How one item was answered. Silence is `NOT_LOOKED_AT`, never `RIGHT`."""

    RIGHT = "right"
    DEFICIENT = "deficient"
    DOES_NOT_APPLY = "does_not_apply"
    NOT_LOOKED_AT = "not_looked_at"


class Severity(StrEnum):
    """What a deficient answer asks for."""

    ADVISORY = "advisory"
    CORRECT_NOW = "correct_now"
    STOP_WORK = "stop_work"


class AnsweredBy(StrEnum):
    """How an answer comes about: a choice, a reading, or the other records alone."""

    CHOICE = "choice"
    MEASURE = "measure"
    COMPUTED = "computed"


class Need(StrEnum):
    """A feature of the part, its mix or its curing that brings items with it."""

    ALWAYS = "always"
    BARS = "bars"
    BACKFORM = "backform"
    EMBEDS = "embeds"
    ACCELERATOR = "accelerator"
    FIBERS = "fibers"
    FREEZE_THAW = "freeze_thaw"
    COMPOUND = "compound"
    FINAL_COAT = "final_coat"


# An unclassified position may turn out to be any, so nothing is hidden from it.
_OPEN = (None, Position.UNCLASSIFIED)

# The four things no instrument shows later without cutting; each is answered by itself.
HEARTS = (
    "place-encasement",
    "place-sand-pockets",
    "place-rebound-trapped",
    "place-sloughing",
)


@dataclass(frozen=True, slots=True)
class Words:
    """One text of the catalogue in its two languages."""

    en: str
    es: str

    def in_language(self, language: str) -> str:
        """Return the text in a language; English where the catalogue has no other.

        >>> Words("Hold released", "Punto de espera liberado").in_language("es")
        'Punto de espera liberado'
        """
        return self.es if language.split("-")[0] == "es" else self.en


@dataclass(frozen=True, slots=True)
class Item:
    """One thing to look at.

    `process` and `position` are where it is asked, nothing meaning everywhere. `unit`
    is the unit of the reading that may stand beside the answer ("" for none)
    and `limited` whether a mix or a contract may set a limit on it. `records` names
    the entries that already say the same, so that it need not be asked again.
    `groupable` items may be answered together as "the rest as it should be".
    """

    key: str
    phase: Phase
    kind: RoundKind
    process: Process | None
    position: Position | None
    needs: Need
    answered_by: AnsweredBy
    unit: str
    limited: bool
    tool: str
    groupable: bool
    photograph: bool
    severity: Severity
    severity_again: Severity
    heart: bool
    safety: bool
    records: str
    title: Words
    prompt: Words
    look: Words
    good: Words
    bad: Words
    why: Words
    causes: tuple[Words, ...]
    fixes: tuple[Words, ...]

    @property
    def asked(self) -> bool:
        """Whether a person answers it; a computed line is worked out instead."""
        return self.answered_by is not AnsweredBy.COMPUTED

    @property
    def dimension(self) -> str:
        """The dimension of its reading, or "" where it takes none."""
        return dimension(self.unit) if self.unit else ""

    @property
    def photograph_demanded(self) -> bool:
        """Whether a deficient answer must come with a picture, not only may."""
        return self.heart or self.kind is RoundKind.HARDENED

    def severity_now(self, *, again: bool) -> Severity:
        """Return the severity, higher for some items when repeated in one shift.

        `again` says that the same item was deficient before in this shift with the
        same operator on the nozzle.
        """
        return self.severity_again if again else self.severity


@dataclass(frozen=True, slots=True)
class Edition:
    """One edition of the catalogue, whole, in the order of its files."""

    key: str
    version: str
    languages: tuple[str, ...]
    answers: Mapping[AnswerState, Words]
    severities: Mapping[Severity, Words]
    kinds: Mapping[RoundKind, Words]
    phases: Mapping[Phase, Words]
    needs: Mapping[Need, Words]
    items: tuple[Item, ...]

    def item(self, key: str) -> Item:
        """Return an item by its key. Raises KeyError naming edition and key."""
        for item in self.items:
            if item.key == key:
                return item
        raise KeyError(f"item {key!r} is not in {self.key} {self.version}")

    def has(self, key: str) -> bool:
        """Return whether the edition knows a key."""
        return any(item.key == key for item in self.items)


def features_of(present: Collection[str]) -> dict[Need, bool]:
    """Return every feature as present or absent, from a complete list of those present.

    Raises ValueError for a name that is no feature. Source: the catalogue's own needs.

    >>> features_of(["bars"])[Need.BARS], features_of(["bars"])[Need.FIBERS]
    (True, False)
    """
    known = {need.value for need in Need if need is not Need.ALWAYS}
    for name in present:
        if name not in known:
            raise ValueError(
                f"feature {name!r}: allowed are {', '.join(sorted(known))}"
            )
    return {Need(name): name in present for name in known}


def applies(
    item: Item,
    *,
    process: Process | None,
    position: Position | None,
    features: Mapping[Need, bool],
) -> bool:
    """Return whether an item may exist on a part.

    What is not known never hides an item: no process, no position, an unclassified
    position and a feature nobody stated all show it, and "does not apply" is one tap.
    Source: project's choice.

    >>> from types import SimpleNamespace
    >>> bars = SimpleNamespace(process=None, position=None, needs=Need.BARS)
    >>> applies(bars, process=None, position=None, features=features_of([]))
    False
    >>> applies(bars, process=None, position=None, features={})  # nobody said
    True
    """
    if None not in (item.process, process) and item.process is not process:
        return False
    if item.position is not None and position not in (item.position, *_OPEN):
        return False
    return item.needs is Need.ALWAYS or features.get(item.needs, True)


def items_for(
    edition: Edition,
    *,
    kinds: Collection[RoundKind],
    process: Process | None,
    position: Position | None,
    features: Mapping[Need, bool],
) -> tuple[Item, ...]:
    """Return the items to ask on one walk, in the edition's order.

    Computed lines are left out: what the entries already say is not asked. Raises
    ValueError where no kind is given. Source: project's choice.

    >>> none = Edition("own", "0.1.0", ("en",), {}, {}, {}, {}, {}, ())
    >>> items_for(none, kinds=[RoundKind.ROUND], process=None, position=None, features={})
    ()
    """
    if not kinds:
        allowed = ", ".join(RoundKind)
        raise ValueError(f"kinds: a round needs at least one of {allowed}")
    return tuple(
        item
        for item in edition.items
        if item.asked
        and item.kind in kinds
        and applies(item, process=process, position=position, features=features)
    )
