"""A calculation from plain values to its answer: the one way of page and command."""

from __future__ import annotations

import re
from collections.abc import Mapping
from dataclasses import dataclass
from datetime import date

from project.domain.calculation import Answer, Calculation, Field, Given
from project.domain.calculation_reading import InputError, read_inputs, read_terms
from project.domain.terms import Terms


@dataclass(frozen=True, slots=True)
class Worked:
    """A calculation as it was made: what it was given, under which terms, its answer."""

    calculation: Calculation
    given: Given
    terms: Terms
    answer: Answer


def work(
    calculation: Calculation,
    data: Mapping[str, object],
    *,
    edition: object,
    settings: object,
    effective_on: date,
) -> Worked:
    """Read inputs and terms, and make the calculation.

    Parameters
    ----------
    data
        The inputs by field, as plain values.
    edition, settings, effective_on
        As `read_terms` takes them.

    Raises InputError with every fault of inputs and settings at once; a setting is
    named `settings.ld_limit`, and what lies between several fields has no name.
    Source: project's choice.

    >>> from project.domain.calculation import Calculation
    >>> nothing = Calculation("nothing", "Nothing", "None", "Says nothing.", (),
    ...                       lambda given, terms: Answer({}, words="none"), (), {})
    >>> on = date(2026, 7, 1)
    >>> work(nothing, {}, edition="", settings={}, effective_on=on).answer.words
    'none'
    >>> work(nothing, {"side": "2"}, edition="", settings={}, effective_on=on)
    Traceback (most recent call last):
    project.domain.calculation_reading.InputError: side: no such input; it takes none
    """
    errors: dict[str, str] = {}
    given = terms = None
    try:
        given = read_inputs(calculation.fields, data)
    except InputError as error:
        errors |= error.errors
    try:
        terms = read_terms(
            calculation, edition=edition, settings=settings, effective_on=effective_on
        )
    except InputError as error:
        errors |= {_setting(name): why for name, why in error.errors.items()}
    if given is None or terms is None:
        raise InputError(errors)
    return Worked(calculation, given, terms, _answer(calculation, given, terms))


def _setting(name: str) -> str:
    return name if name in ("edition", "settings") else f"settings.{name}"


def _answer(calculation: Calculation, given: Given, terms: Terms) -> Answer:
    try:
        return calculation.run(given, terms)
    except InputError:
        raise
    except ArithmeticError:
        why = "these inputs together lead to no number; look at their sizes and units"
        raise InputError({"": why}) from None
    except ValueError as error:
        raise InputError(_named(calculation.fields, str(error))) from None


_BEGINS = re.compile(r"(\w+)(?:: | )(.*)", re.DOTALL)


def _named(fields: tuple[Field, ...], words: str) -> dict[str, str]:
    """Hang what a rule refused on the field its words begin with, if on any."""
    begins = _BEGINS.fullmatch(words)
    if begins and begins[1] in {field.name for field in fields}:
        return {begins[1]: begins[2]}
    return {"": words}
