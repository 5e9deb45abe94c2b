"""Calculations of control: running means, s of the run, outliers, 28 days from 7."""

from __future__ import annotations

from crews.domain.control_series import (
    MOVING,
    RUNNING,
    THREE_S,
    chart_series,
    moving_scatter,
)
from crews.domain.outliers import CAUSE, CEILING, E178, Level, Side, doubted
from crews.domain.strength_gain import (
    HINT,
    INTERVAL,
    LINE,
    Cover,
    Pair,
    gain_line,
    predict,
)
from crews.domain.strength_list import TOO_FEW, TooFew
from crews.domain.strength_statistics import spread
from crews.domain.worked.strength_fields import (
    GROUP,
    strength_field,
    strength_rows,
    too_few,
)
from project.domain.calculation import Answer, Calculation, Field, Given, Kind
from project.domain.terms import Terms
from project.domain.units import Quantity
from project.domain.working import Working


def _values(given: Given) -> list[Quantity]:
    return [row.quantity("value") for row in given.rows("values")]


def _chart(given: Given, _terms: Terms) -> Answer:
    sets = [(f"set {n}", value) for n, value in enumerate(_values(given), start=1)]
    series = chart_series(sets)
    figures: dict[str, Working] = {}
    if series.lowest_running is not None:
        figures["running"] = series.running_working(len(sets))
        figures["lowest_running"] = series.running_working(series.lowest_running)
    lines = (series.centre, *series.limits)
    for name, line in zip(("centre", "lower", "upper"), lines, strict=False):
        if line is not None:
            figures[name] = series.line_working(line)
    if series.too_few is not None:
        return Answer(figures, series.too_few.verdict(), series.too_few.words)
    outside = ", ".join(series.outside) or "none"
    return Answer(figures, words=f"outside the limits: {outside}")


def _moving(given: Given, _terms: Terms) -> Answer:
    made = moving_scatter(_values(given))
    if isinstance(made, TooFew):
        return too_few(made)
    return Answer({"s": made.working()})


def _outlier(given: Given, _terms: Terms) -> Answer:
    found = doubted(
        spread(_values(given)),
        side=Side(given.word("side")),
        level=Level(given.word("level")),
    )
    figures = {"statistic": found.working(), "critical": found.critical_working()}
    return Answer(figures, found.verdict(), found.words)


def _gain(given: Given, _terms: Terms) -> Answer:
    line = gain_line(
        [
            Pair(row.quantity("seven"), row.quantity("later"))
            for row in given.rows("pairs")
        ]
    )
    if isinstance(line, TooFew):
        return too_few(line)
    cover = Cover(given.word("cover"))
    found = predict(line, early=given.quantity("seven"), cover=cover)
    needed = given.quantity_or_none("needed")
    verdict, words = None, found.words
    if needed is not None:
        verdict, words = found.hint(needed), found.against(needed)
    figures = {
        "likely": found.working(),
        "low": found.low_working(),
        "high": found.high_working(),
        "ratio": line.ratio_working(),
    }
    return Answer(figures, verdict, words)


CALCULATIONS = (
    Calculation(
        name="control-chart",
        title="Sets in the order of shooting",
        group=GROUP,
        says="Running means of three; from five sets on centre and limits three "
        "standard deviations either side, which show a change and judge no set.",
        fields=(strength_rows("values", "Means of the sets", "value", "Mean"),),
        run=_chart,
        sources=(RUNNING, MOVING, THREE_S, TOO_FEW),
        example={
            "values": [
                {"value": [value, "psi"]}
                for value in ("4000", "4100", "4050", "4200", "3950")
            ]
        },
    ),
    Calculation(
        name="moving-range",
        title="Standard deviation of a run of results",
        group=GROUP,
        says="0.886 times the mean range of consecutive pairs, from 15 results on.",
        fields=(strength_rows("values", "Results in order", "value", "Strength"),),
        run=_moving,
        sources=(MOVING,),
        example={"values": [{"value": [30 + n % 4, "MPa"]} for n in range(15)]},
    ),
    Calculation(
        name="outlier",
        title="Does one strength stand out",
        group=GROUP,
        says="Distance of the lowest or highest from the mean over s, beside what a "
        "sound list reaches once in 20 or 100. Of three values it cannot say.",
        fields=(
            strength_rows("values", "Strengths", "value", "Strength"),
            Field(
                "side",
                "Which end is doubted",
                Kind.CHOICE,
                choices=tuple(each.value for each in Side),
                note="chosen before looking; taking the farther end doubles the level",
            ),
            Field(
                "level",
                "Level",
                Kind.CHOICE,
                choices=tuple(each.value for each in Level),
            ),
        ),
        run=_outlier,
        sources=(E178, CEILING, CAUSE),
        example={
            "values": [
                {"value": [value, "psi"]} for value in ("4000", "4100", "3950", "3100")
            ],
            "side": Side.LOWEST.value,
            "level": Level.FIVE.value,
        },
        caution="A core is not dropped for its strength alone.",
    ),
    Calculation(
        name="seven-to-28",
        title="28 days from 7, by this mix's pairs",
        group=GROUP,
        says="A straight line through the sets that have both ages, and an interval "
        "for the next one. From five pairs on.",
        fields=(
            Field(
                "pairs",
                "Sets with both ages",
                Kind.ROWS,
                columns=(
                    strength_field("seven", "7 days"),
                    strength_field("later", "28 days"),
                ),
            ),
            strength_field("seven", "Strength at 7 days"),
            Field(
                "cover",
                "Next pairs it should hold",
                Kind.CHOICE,
                choices=tuple(each.value for each in Cover),
            ),
            strength_field("needed", "Needed at 28 days", optional=True),
        ),
        run=_gain,
        sources=(LINE, INTERVAL, HINT, TOO_FEW),
        example={
            "pairs": [
                {"seven": [a, "psi"], "later": [b, "psi"]}
                for a, b in (
                    ("2000", "3500"),
                    ("2200", "3650"),
                    ("2100", "3600"),
                    ("2400", "3900"),
                    ("2300", "3750"),
                )
            ],
            "seven": ["2150", "psi"],
            "cover": Cover.NINETY.value,
            "needed": ["3600", "psi"],
        },
        caution="A hint of a risk from early results; it is never a pass.",
    ),
)
