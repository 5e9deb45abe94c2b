"""What an edition is made of, and the choices of ours that fill a document's silence."""

from __future__ import annotations

from collections.abc import Mapping
from dataclasses import dataclass
from decimal import Decimal

from project.domain.term_kinds import (
    AGENCY,
    CLEAR,
    EXACT_METRIC,
    MARKED_PARTS,
    MEAN_NOT_BELOW,
    OF_F_C,
    PER_CELL,
    STRICT,
    TAKES_BACK,
    TERM_KINDS,
    UNLESS_UNCHANGED,
)
from project.domain.terms import TermValue
from project.domain.verdict import Known, Source

CONTRACT = Source("contract", known=Known.CONTRACT)
PROJECT = Source("project's choice", known=Known.PROJECT)
PRACTICE = Source("common practice, no source", known=Known.PRACTICE)

# Standards that the codes lean on; several editions name them.
C42 = Source("ASTM C42/C42M", "strength correction factor", known=Known.MEMORY)
C1604 = Source("ASTM C1604/C1604M", "core diameter, as quoted", "2005", Known.READ)
C1604_MOIST = Source(
    "ASTM C1604/C1604M", "cores bagged, 5 d between last wetting and test"
)
C1140_EDGE = Source("ASTM C1140", "distance of cores from the edge")


@dataclass(frozen=True, slots=True)
class Edition:
    """A requirement set: its key, its printed name, and a value or none for each term.

    Source: project's choice of form; each value carries its own.

    >>> Edition("bare", "Bare", in_full({}, silent=PROJECT)).asks[:2]
    ('panel_period', 'panel_per')
    """

    key: str
    name: str
    values: Mapping[str, TermValue]

    @property
    def asks(self) -> tuple[str, ...]:
        """The terms that must have a value and of which this edition gives none.

        Source: the table of kinds.

        >>> Edition("ours", "Ours", in_full(OF_OURS, silent=PROJECT)).asks
        ('panel_period', 'panel_per', 'ld_limit', 'core_average', 'set_mean_met',
        'core_single')
        """
        return tuple(
            name
            for name, term in self.values.items()
            if term.value is None and TERM_KINDS[name].required
        )

    @property
    def not_given(self) -> tuple[str, ...]:
        """All terms of which this edition gives no value.

        Source: the edition's own values.

        >>> full = in_full(dict.fromkeys(TERM_KINDS, word(True, PROJECT)), silent=PROJECT)
        >>> Edition("full", "Full", full).not_given
        ()
        """
        return tuple(name for name, t in self.values.items() if t.value is None)


def word(value: str | bool, source: Source) -> TermValue:
    """Return a named setting, or a yes or no, with its source.

    Source: the one passed in.

    >>> str(word(True, PRACTICE).source)
    'common practice, no source'
    """
    return TermValue(value, None, source)


def number(value: str, source: Source, unit: str | None = None) -> TermValue:
    """Return a number with its unit, as the document prints it, and its source.

    Source: the one passed in.

    >>> number("2.5", PRACTICE, "in").value
    Decimal('2.5')
    """
    return TermValue(Decimal(value), unit, source)


def in_full(given: Mapping[str, TermValue], *, silent: Source) -> dict[str, TermValue]:
    """Return a value for every term there is; what is not given says whose silence it is.

    Raises ValueError for a name that is no term. Source: the table of kinds.

    >>> in_full({}, silent=PROJECT)["core_average"].value is None
    True
    """
    strangers = [name for name in given if name not in TERM_KINDS]
    if strangers:
        raise ValueError(f"terms {', '.join(strangers)}: not in the table of kinds")
    nothing = TermValue(None, None, silent)
    return {name: given.get(name, nothing) for name in TERM_KINDS}


# Where a document is silent and the work cannot wait for an answer: of two
# interpretations the one that asks for more. A contract may depart from each.
OF_OURS: Mapping[str, TermValue] = {
    "panel_position": word(True, PROJECT),
    "panel_count": word(PER_CELL, PROJECT),
    "core_count": number("3", PROJECT),
    "core_age": number("28", PRACTICE, "d"),
    "result_overdue_after": number("3", PROJECT, "d"),
    "strength_unit": word("psi", PROJECT),
    "strength_basis": word(OF_F_C, PROJECT),
    "core_rounding": word(STRICT, PROJECT),
    "card_last_day_inclusive": word(True, PRACTICE),
    "trainee_ratio": number("1", PROJECT),
    "trainee_parts": word(MARKED_PARTS, PROJECT),
    "requalify_mix_revision": word(UNLESS_UNCHANGED, PROJECT),
    "requalify_rig": word(True, PROJECT),
    "requalify_position": word(True, PROJECT),
    "requalify_harder": word(True, PROJECT),
    "requalify_rating": word(True, PROJECT),
    "requalify_failing_sets": TermValue(None, None, PROJECT),
    "requalify_lapse": word(False, PROJECT),
    "requalify_withdrawal": word(TAKES_BACK, PROJECT),
    "clear_rule": word(CLEAR, PROJECT),
    "thickness_mean": word(MEAN_NOT_BELOW, PROJECT),
    "evaporation_form": word(EXACT_METRIC, PROJECT),
    "continuous_inspection": word(True, PROJECT),
    "report_sign_within": number("1", PROJECT),
    "associate_signs_alone": word(False, PROJECT),
    "packet_prepared_by": word(AGENCY, PROJECT),
}
