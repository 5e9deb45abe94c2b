"""The sets of a rolling record, as a calculation that says what it takes."""

from __future__ import annotations

from datetime import UTC, datetime, timedelta

from crews.domain.rolling_record import LAST_SETS, ROLLING, PanelSet, Where, set_record
from crews.domain.strength_list import TOO_FEW, TooFew
from crews.domain.worked.strength_fields import GROUP, strength_field
from project.domain.calculation import Answer, Calculation, Field, Given, Kind
from project.domain.terms import Terms
from project.domain.units import convert
from project.domain.verdict import State

_ANY = Where(operator="", mix="", position="")
_ORDER = datetime(2000, 1, 1, tzinfo=UTC)  # rows stand in the order of shooting


def _record(given: Given, _terms: Terms) -> Answer:
    rows = given.rows("sets")
    record = set_record(_set(row, number) for number, row in enumerate(rows, start=1))
    figures = {}
    mean, lowest = record.mean_working(), record.lowest_working()
    if mean is not None:
        figures["mean"] = mean
    if lowest is not None:
        figures["lowest"] = lowest
    words = record.mean.words if isinstance(record.mean, TooFew) else ""
    return Answer(figures, words=words)


def _set(row: Given, number: int) -> PanelSet:
    f_c = row.quantity("f_c")
    mean = convert(row.quantity("mean"), to=f_c.unit).value
    lowest = row.quantity_or_none("lowest")
    cores = () if lowest is None else (("lowest", convert(lowest, to=f_c.unit).value),)
    return PanelSet(
        panel=row.word("panel") or f"set {number}",
        where=_ANY,
        shot_at=_ORDER + timedelta(days=number),
        f_c=f_c,
        state=State.PASS,
        mean=mean,
        cores=cores,
    )


CALCULATIONS = (
    Calculation(
        name="rolling-sets",
        title="Set averages over f_c",
        group=GROUP,
        says="The mean of the set averages over f_c, and the lowest core over f_c, of "
        f"the last {LAST_SETS} sets. It is a plain figure and no score.",
        fields=(
            Field(
                "sets",
                "Sets, in the order of shooting",
                Kind.ROWS,
                columns=(
                    strength_field("mean", "Set average, unrounded"),
                    strength_field("f_c", "Specified strength"),
                    strength_field("lowest", "Lowest core", optional=True),
                    Field("panel", "Panel", Kind.WORDS, optional=True),
                ),
                note="below five sets the mean is too few",
            ),
        ),
        run=_record,
        sources=(ROLLING, TOO_FEW),
        example={
            "sets": [
                {"mean": ["5373", "psi"], "f_c": ["4500", "psi"]},
                {"mean": ["5283", "psi"], "f_c": ["4500", "psi"]},
                {"mean": ["5577", "psi"], "f_c": ["4500", "psi"]},
                {"mean": ["5153", "psi"], "f_c": ["4500", "psi"]},
                {
                    "mean": ["5083", "psi"],
                    "f_c": ["4500", "psi"],
                    "lowest": ["4810", "psi"],
                },
            ]
        },
    ),
)
