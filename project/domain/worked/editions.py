"""What a requirement set says, term by term, as calculations that say what they take."""

from __future__ import annotations

from decimal import Decimal

from project.domain.calculation import Answer, Calculation, Field, Given, Kind
from project.domain.editions import (
    EDITIONS,
    PROJECT,
    Edition,
    differences,
    edition_of,
    ibc_section,
)
from project.domain.term_kinds import TERM_KINDS, kind_of, shown
from project.domain.terms import Terms, TermValue
from project.domain.units import Quantity
from project.domain.verdict import Known, Source
from project.domain.working import Step, Used, Working

_GROUP = "Editions"
_AS_PRINTED = "none: as the document prints it"
_COUNTED = "none: a count"
_REVIEWED = Source(
    "requirement sets of this book, each value with its own source",
    known=Known.PROJECT,
)
_IBC = Source("IBC", "shotcrete, sections 1914, 1913, 1910 and 1908", "2000 to 2018")


def _which(name: str, label: str) -> Field:
    return Field(name, label, Kind.CHOICE, choices=tuple(EDITIONS))


def _said(term: TermValue) -> str:
    return shown(term.value, term.unit)


def _term(given: Given, _: Terms) -> Answer:
    edition, name = edition_of(given.word("requirement_set")), given.word("term")
    term, kind = edition.values[name], kind_of(name)
    words = f"{_said(term)}; {term.source}"
    if not isinstance(term.value, Decimal):
        return Answer({}, words=words)
    value = Quantity(term.value, term.unit or "1")
    working = Working(
        title=f"{kind.group}: {kind.label}",
        inputs=(),
        steps=(Step(kind.label, f"{edition.name} says {value}", term.source),),
        exact=value,
        reported=value,
        rounding=_AS_PRINTED,
        settings=(Used(name, _said(term), term.source),),
    )
    return Answer({"value": working}, words=words)


def _listed(names: tuple[str, ...]) -> str:
    """Return the terms' labels under the heads of their groups."""
    groups: dict[str, list[str]] = {}
    for name in names:
        groups.setdefault(kind_of(name).group, []).append(kind_of(name).label)
    return "; ".join(f"{group} ({', '.join(each)})" for group, each in groups.items())


def _count(title: str, names: tuple[str, ...]) -> Working:
    found = Quantity(Decimal(len(names)), "1")
    listed = _listed(names) or "none"
    steps = (Step(title, f"{listed}: {found}", PROJECT),)
    return Working(title, (), steps, found, found, _COUNTED)


def _gaps(given: Given, _: Terms) -> Answer:
    edition = edition_of(given.word("requirement_set"))
    asked = _listed(edition.asks)
    words = f"to be given by the contract: {asked}" if asked else "it can stand alone"
    figures = {
        "to be given": _count("Terms that must be given", edition.asks),
        "not given": _count("Terms without a value", edition.not_given),
    }
    return Answer(figures, words=words)


def _between(given: Given, _: Terms) -> Answer:
    one = edition_of(given.word("requirement_set"))
    other = edition_of(given.word("other_set"))
    names = tuple(each.name for each in differences(one.values, after=other.values))
    words = "; ".join(_both(name, one, other) for name in names)
    figures = {"differing": _count("Terms that differ", names)}
    return Answer(figures, words=words or "no term differs")


def _both(name: str, one: Edition, other: Edition) -> str:
    kind = kind_of(name)
    label = f"{kind.group}, {kind.label}"
    return f"{label}: {_said(one.values[name])} | {_said(other.values[name])}"


def _section(given: Given, _: Terms) -> Answer:
    return Answer({}, words=str(ibc_section(given.count("year"))))


CALCULATIONS = (
    Calculation(
        name="edition-terms",
        title="What a requirement set says of one term",
        group=_GROUP,
        says="Its value with its source, or that it gives none.",
        fields=(
            _which("requirement_set", "Requirement set"),
            Field("term", "Term", Kind.CHOICE, choices=tuple(TERM_KINDS)),
        ),
        run=_term,
        sources=(_REVIEWED,),
        example={"requirement_set": "aci-318-2019", "term": "core_three_mean"},
    ),
    Calculation(
        name="edition-gaps",
        title="What a requirement set leaves to the contract",
        group=_GROUP,
        says="The terms that must be given, and those that stay without a limit.",
        fields=(_which("requirement_set", "Requirement set"),),
        run=_gaps,
        sources=(_REVIEWED,),
        example={"requirement_set": "metric"},
    ),
    Calculation(
        name="edition-differences",
        title="Where two requirement sets differ",
        group=_GROUP,
        says="Each term that the two give differently, with both values.",
        fields=(
            _which("requirement_set", "Requirement set"),
            _which("other_set", "Another one"),
        ),
        run=_between,
        sources=(_REVIEWED,),
        example={"requirement_set": "ibc-2018-1908", "other_set": "ufgs-03371"},
    ),
    Calculation(
        name="code-section",
        title="Where a printing of the building code has shotcrete",
        group=_GROUP,
        says="The section's number moved; from 2021 the code leaves it to ACI 318.",
        fields=(
            Field(
                "year",
                "Year of the IBC",
                Kind.COUNT,
                least=Decimal(2000),
                most=Decimal(2099),
            ),
        ),
        run=_section,
        sources=(_IBC,),
        example={"year": "2018"},
    ),
)
