"""Calculations of scatter: of a list, inside tests, between batches, and its class."""

from __future__ import annotations

from decimal import Decimal

from crews.domain.characteristic_strength import (
    EN_206,
    FRACTILE,
    Basis,
    characteristic_strength,
)
from crews.domain.control_standards import (
    BOUNDARY,
    STANDARDS,
    Scatter,
    overall_class,
    percent_class,
)
from crews.domain.required_average import (
    ACI_301,
    ACI_301_MEMORY,
    SHORT_RECORD,
    Shortfall,
    required_average,
)
from crews.domain.strength_list import REPORTED, TOO_FEW, TooFew
from crews.domain.strength_statistics import (
    ACI_214R,
    PERCENT_ROUNDING,
    Spread,
    coefficient_of_variation,
    mix_spread,
    reported_percent,
    share_reached,
    spread,
)
from crews.domain.within_test import (
    BATCH,
    D2_TABLE,
    WithinTest,
    batch_scatter,
    within_test,
    within_test_of,
)
from crews.domain.worked.strength_fields import (
    GROUP,
    MANY,
    NONE,
    scatter_field,
    strength_field,
    strength_rows,
    too_few,
)
from project.domain.calculation import Answer, Calculation, Field, Given, Kind
from project.domain.terms import Terms
from project.domain.units import Quantity
from project.domain.working import Named, Step, Working

_ONE_LIST = "one list: cores of a set, or any sample"
_SETS = "sets of one mix"
_MEAN = strength_field("mean", "Mean")


def _spread(given: Given, _terms: Terms) -> Answer:
    values = [row.quantity("value") for row in given.rows("values")]
    made = mix_spread(values) if given.word("of") == _SETS else spread(values)
    return too_few(made) if isinstance(made, TooFew) else Answer(_figures(made))


def _figures(made: Spread) -> dict[str, Working]:
    return {
        "s": made.working(),
        "mean": made.mean_working(),
        "variation": made.variation_working(),
        "range": made.range_working(),
    }


def _share(given: Given, _terms: Terms) -> Answer:
    results, below = given.count("results"), given.count("below")
    share = share_reached(results, below=below)
    if isinstance(share, TooFew):
        return too_few(share)
    reached = results - below
    line = f"({results} - {below}) / {results} × 100 = {share:.3f} percent"
    working = Working(
        title="Share that reached the limit",
        inputs=tuple(
            Named(n, Quantity(given.number(n), "1")) for n in ("results", "below")
        ),
        steps=(Step("share", line),),
        exact=Quantity(share, "percent"),
        reported=reported_percent(share),
        rounding=PERCENT_ROUNDING,
    )
    return Answer({"share": working}, words=f"{reached} of {results}")


_PLACES = ("first", "second", "third", "fourth", "fifth")


def _within(given: Given, _terms: Terms) -> Answer:
    tests = [
        [row.quantity(place) for place in _PLACES if row.has(place)]
        for row in given.rows("tests")
    ]
    made = within_test_of(tests)
    if isinstance(made, TooFew):
        return too_few(made)
    means = [
        Quantity(sum((q.value for q in test), Decimal(0)) / len(test), made.unit)
        for test in tests
    ]
    return _within_answer(made, Quantity(spread(means).s, made.unit))


def _within_ranges(given: Given, _terms: Terms) -> Answer:
    made = within_test(
        [row.quantity("range") for row in given.rows("ranges")],
        specimens=given.count("specimens"),
        mean=given.quantity("mean"),
    )
    if isinstance(made, TooFew):
        return too_few(made)
    return _within_answer(made, given.quantity_or_none("s"))


def _within_answer(made: WithinTest, s: Quantity | None) -> Answer:
    figures = {"s1": made.working(), "variation": made.variation_working()}
    if s is not None:
        s1 = Quantity(made.s1, made.unit)
        figures["batch"] = batch_scatter(s, s1=s1).working()
    return Answer(figures)


def _required(given: Given, _terms: Terms) -> Answer:
    word = given.word("shortfall") or Shortfall.CONVERTED.value
    made = required_average(
        given.quantity("f_c"),
        s=given.quantity_or_none("s"),
        tests=given.count("tests"),
        shortfall=Shortfall(word),
    )
    return Answer({"required": made.working()}, words=made.governs)


def _class(given: Given, _terms: Terms) -> Answer:
    scatter, s = Scatter(given.word("scatter")), given.quantity("s")
    mean, f_c = given.quantity_or_none("mean"), given.quantity_or_none("f_c")
    share = None
    if mean is not None:
        if mean.unit != s.unit:
            raise ValueError(f"mean: {mean}; s is in {s.unit}, and both have one unit")
        share = coefficient_of_variation(s.value, mean=mean.value)
    if scatter is not Scatter.OVERALL:
        if share is None:
            raise ValueError(
                "mean: not given; within tests the share s / mean is classed"
            )
        found = percent_class(share, scatter=scatter)
    elif f_c is None:
        raise ValueError("f_c: not given; the overall classes depend on it")
    else:
        found = overall_class(s, f_c=f_c, variation=share)
    return Answer({}, found.verdict(), found.name)


def _characteristic(given: Given, _terms: Terms) -> Answer:
    mean, s = given.quantity("mean"), given.quantity("s")
    results = given.count("results") if given.has("results") else None
    basis = Basis(given.word("basis"))
    made = characteristic_strength(mean, s=s, basis=basis, results=results)
    if isinstance(made, TooFew):
        return too_few(made)
    said = "" if given.has("results") else "how many results there are is not said"
    figures = {
        "characteristic": made.working(),
        "variation": made.variation_working(),
    }
    return Answer(figures, words=said)


def _test_columns() -> tuple[Field, ...]:
    return tuple(
        strength_field(place, place.capitalize(), optional=number > 1)
        for number, place in enumerate(_PLACES)
    )


CALCULATIONS = (
    Calculation(
        name="strength-spread",
        title="How strengths scatter",
        group=GROUP,
        says="Standard deviation with n - 1, mean, coefficient of variation and range "
        "of one list. Of a mix's sets, only the count below five.",
        fields=(
            Field("of", "What is listed", Kind.CHOICE, choices=(_ONE_LIST, _SETS)),
            strength_rows("values", "Strengths", "value", "Strength"),
        ),
        run=_spread,
        sources=(ACI_214R, REPORTED, TOO_FEW),
        example={
            "of": _ONE_LIST,
            "values": [{"value": [value, "MPa"]} for value in ("25", "28", "32", "31")],
        },
    ),
    Calculation(
        name="share-reached",
        title="Share of results that reached a limit",
        group=GROUP,
        says="How many of all results are not below it; only the count below five.",
        fields=(
            Field("results", "Results", Kind.COUNT, least=Decimal(1), most=MANY),
            Field("below", "Below the limit", Kind.COUNT, least=NONE, most=MANY),
        ),
        run=_share,
        sources=(TOO_FEW,),
        example={"results": "482", "below": "16"},
    ),
    Calculation(
        name="within-test",
        title="Scatter inside tests",
        group=GROUP,
        says="Within-test standard deviation from the mean range, and what is left "
        "between batches.",
        fields=(
            Field(
                "tests",
                "Tests, with equally many results",
                Kind.ROWS,
                columns=_test_columns(),
            ),
        ),
        run=_within,
        sources=(D2_TABLE, BATCH, TOO_FEW),
        example={
            "tests": [
                {"first": [a, "psi"], "second": [b, "psi"]}
                for a, b in (
                    ("4000", "4200"),
                    ("4350", "4100"),
                    ("3900", "3950"),
                    ("4500", "4380"),
                    ("4120", "4270"),
                )
            ]
        },
    ),
    Calculation(
        name="within-test-ranges",
        title="Scatter inside tests, from their ranges",
        group=GROUP,
        says="The same, where the largest less the smallest of each test is at hand.",
        fields=(
            Field(
                "ranges",
                "Ranges",
                Kind.ROWS,
                columns=(scatter_field("range", "Range"),),
            ),
            Field(
                "specimens",
                "Specimens a test",
                Kind.COUNT,
                least=Decimal(2),
                most=Decimal(5),
            ),
            _MEAN,
            scatter_field("s", "Overall standard deviation", optional=True),
        ),
        run=_within_ranges,
        sources=(D2_TABLE, BATCH, TOO_FEW),
        example={
            "ranges": [{"range": [value, "psi"]} for value in (200, 250, 50, 120, 150)],
            "specimens": "2",
            "mean": ["4177", "psi"],
            "s": ["215", "psi"],
        },
    ),
    Calculation(
        name="required-average",
        title="Required average strength",
        group=GROUP,
        says="What a mix must be made for, from f_c and the scatter on record; with "
        "fewer than 15 tests a fixed surplus.",
        fields=(
            strength_field("f_c", "f_c"),
            Field("tests", "Tests on record", Kind.COUNT, least=NONE, most=MANY),
            strength_field("s", "Standard deviation", optional=True),
            Field(
                "shortfall",
                "Taken off in MPa",
                Kind.CHOICE,
                choices=tuple(each.value for each in Shortfall),
                optional=True,
                note="left out: 3.45 MPa; not used in psi",
            ),
        ),
        run=_required,
        sources=(ACI_301, ACI_301_MEMORY, SHORT_RECORD),
        example={"f_c": ["4500", "psi"], "tests": "30", "s": ["550", "psi"]},
        caution="Made for cylinders; information where panels and cores are judged.",
    ),
    Calculation(
        name="control-class",
        title="Class of control",
        group=GROUP,
        says="How a scatter would be called for cylinders; information only.",
        fields=(
            Field(
                "scatter",
                "What scatters",
                Kind.CHOICE,
                choices=tuple(each.value for each in Scatter),
            ),
            scatter_field("s", "Standard deviation"),
            strength_field("f_c", "f_c", optional=True),
            strength_field("mean", "Mean", optional=True),
        ),
        run=_class,
        sources=(STANDARDS, BOUNDARY),
        example={
            "scatter": Scatter.OVERALL.value,
            "s": ["460", "psi"],
            "f_c": ["4000", "psi"],
        },
    ),
    Calculation(
        name="characteristic-strength",
        title="Characteristic strength",
        group=GROUP,
        says="The mean less 1.48 or 1.65 standard deviations; below 15 results only "
        "the count.",
        fields=(
            _MEAN,
            scatter_field("s", "Standard deviation"),
            Field(
                "basis",
                "How far below the mean",
                Kind.CHOICE,
                choices=tuple(each.value for each in Basis),
            ),
            Field(
                "results",
                "Results",
                Kind.COUNT,
                least=NONE,
                most=MANY,
                optional=True,
            ),
        ),
        run=_characteristic,
        sources=(EN_206, FRACTILE, ACI_214R),
        example={
            "mean": ["34.99", "MPa"],
            "s": ["9.72", "MPa"],
            "basis": Basis.EN_206.value,
            "results": "32",
        },
    ),
)
