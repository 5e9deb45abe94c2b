"""Bars as calculations: their sizes, gaps, laps, and whether a mock-up is asked for."""

from __future__ import annotations

from decimal import Decimal

from crews.domain.bar_rules import NO_LIMIT, aggregate_size, bar_rules
from crews.domain.bar_sizes import bar_area, bar_girth, spacing_for
from crews.domain.clearance import (
    ClearLimit,
    asked_because,
    clear_limit,
    clear_spacing,
    mockup_needed,
    spacing_reasons,
)
from crews.domain.lap_gap import LAP_RULES, LapGap, judged_lap, lap_gap
from crews.domain.worked.specimens import length_field
from project.domain.bars import (
    ASTM_BARS,
    BAR_DIAMETERS,
    CSA_BARS,
    EN_BARS,
    bar_diameter,
    bar_source,
)
from project.domain.calculation import Answer, Calculation, Field, Given, Kind
from project.domain.reinforcement import (
    BarWay,
    Curtain,
    Mat,
    Reinforcement,
    Splice,
    SpliceKind,
)
from project.domain.term_kinds import CENTRE, CLEAR
from project.domain.terms import Terms
from project.domain.units import Quantity, convert
from project.domain.verdict import Known, Source, Verdict, worst
from project.domain.working import Named, Step, Used, Working

GROUP = "Reinforcement"
ONE_CURTAIN = "one curtain"
IBC_BARS = Source("IBC", "1908.3 to 1908.4.3", "2018", Known.MEMORY)
ACI_BARS = Source("ACI 318", "25.2.7 to 25.2.10, 25.5.1.6, 25.5.1.7", "2019")
GEOMETRY = Source("geometry", known=Known.DERIVED)
_AS_COMPUTED = "none: as computed"
_BARS = (ASTM_BARS, CSA_BARS, EN_BARS)
_CLEAR = (
    "largest_bar",
    "clear_least",
    "clear_diameters",
    "clear_nearer_diameters",
    "clear_small_bars",
    "clear_rule",
)
_WIDEST = 120  # in; wider is a slip of the pen

BAR = Field("bar", "Bar", Kind.CHOICE, choices=tuple(BAR_DIAMETERS))
SPACING = length_field("spacing", "Spacing, centre to centre", most=_WIDEST)
AGGREGATE = length_field("aggregate", "Largest aggregate", most=4)
MAYBE_AGGREGATE = length_field(
    "aggregate", "Largest aggregate", most=4, optional=True, note="two rules ask it"
)


def _figure(
    title: str,
    line: str,
    value: Quantity,
    *,
    source: Source = GEOMETRY,
    named: tuple[Named, ...] = (),
    settings: tuple[Used, ...] = (),
    places: str = "",
) -> Working:
    rounded, rounding = value, _AS_COMPUTED
    if places:
        rounded = Quantity(value.value.quantize(Decimal(places)), value.unit)
        rounding = f"to {places} {value.unit}"
    steps = (Step(title.lower(), line, source),)
    return Working(title, named, steps, value, rounded, rounding, settings)


def _cut(value: Quantity) -> Quantity:
    return Quantity(value.value.quantize(Decimal("0.00001")), value.unit)


def _sizes(given: Given, _: Terms) -> Answer:
    bar = given.word("bar")
    diameter, area, girth = bar_diameter(bar), bar_area(bar), bar_girth(bar)
    size = Named("diameter", diameter)
    return Answer(
        {
            "diameter": _figure(
                "Nominal diameter",
                f"table at {bar}: {diameter}",
                diameter,
                source=bar_source(bar),
            ),
            "area": _figure(
                "Area",
                f"π × {diameter.value}² / 4 = {_cut(area)}",
                area,
                named=(size,),
                places="0.01" if area.unit == "in2" else "1",
            ),
            "girth": _figure(
                "Once around",
                f"π × {diameter.value} = {_cut(girth)}",
                girth,
                named=(size,),
                places="0.001" if girth.unit == "in" else "0.1",
            ),
        }
    )


def _centres(given: Given, _: Terms) -> Answer:
    bar, clear = given.word("bar"), given.quantity("clear")
    spacing = spacing_for(bar, clear=clear)
    diameter = convert(bar_diameter(bar), to=clear.unit)
    line = f"{clear.value} + {diameter.value} = {spacing}"
    named = (Named("clear", clear), Named("diameter", bar_diameter(bar)))
    return Answer(
        {"spacing": _figure("Spacing, centre to centre", line, spacing, named=named)}
    )


def _mat(given: Given) -> tuple[Mat, int]:
    """Return a mat and the number of curtains it stands among."""
    where = given.word("curtain")
    curtain = Curtain.NEARER if where == ONE_CURTAIN else Curtain(where)
    bar, spacing = given.word("bar"), given.quantity("spacing")
    mat = Mat(curtain, BarWay.VERTICAL, bar, spacing)
    return mat, 1 if where == ONE_CURTAIN else 2


def _clear_working(mat: Mat, terms: Terms) -> Working:
    diameter = convert(bar_diameter(mat.bar), to=mat.spacing.unit)
    clear = clear_spacing(mat)
    return _figure(
        "Clear spacing",
        f"{mat.spacing.value} − {diameter.value} = {clear}",
        clear,
        named=(Named("spacing", mat.spacing), Named("diameter", diameter)),
        settings=terms.used(*_CLEAR),
    )


def _limit_working(asked: ClearLimit, bar: str, terms: Terms) -> Working | None:
    if asked.limit is None:
        return None
    return _figure(
        f"Least {asked.interpretation}",
        f"{asked.words}, {bar}: {asked.limit}",
        asked.limit,
        source=asked.source,
        named=(Named("diameter", bar_diameter(bar)),),
        settings=terms.used(*_CLEAR),
    )


def _gap(given: Given, terms: Terms) -> Answer:
    mat, curtains = _mat(given)
    rules = bar_rules(terms)
    words = f"{mat.bar} at {mat.spacing}"
    reasons = spacing_reasons(mat, curtains=curtains, rules=rules, words=words)
    rule = "bars stand as far apart as the terms ask, or a mock-up is asked for"
    verdict = Verdict(worst(reasons), rule, reasons)
    figures = {"clear": _clear_working(mat, terms)}
    for name in (CLEAR, CENTRE) if curtains > 1 else (CLEAR,):
        asked = clear_limit(mat, curtains=curtains, rules=rules, interpretation=name)
        working = _limit_working(asked, mat.bar, terms)
        if working is not None:
            figures[f"least {name}"] = working
    return Answer(figures, verdict, _said_of(curtains, rules.clear_rule, len(figures)))


def _said_of(curtains: int, rule: str | None, figures: int) -> str:
    if figures == 1:
        return NO_LIMIT
    if curtains == 1:
        return ""
    used = "no interpretation is on record" if rule is None else f"{rule} is used"
    return f"bar diameters between two curtains may be clear or centre spacing: {used}"


def _lap_working(
    bar: str, gap: LapGap, aggregate: Quantity | None, settings: tuple[Used, ...]
) -> Working | None:
    if gap.limit is None:
        return None
    parts = ", ".join(
        f"{words} {'not given' if length is None else length}"
        for words, length in gap.parts
    )
    named = [Named("diameter", bar_diameter(bar))]
    if aggregate is not None:
        named.append(Named("aggregate", aggregate))
    return _figure(
        f"Least gap of a lap, {gap.rule}",
        f"{parts}: {gap.limit}",
        gap.limit,
        source=LAP_RULES[gap.rule],
        named=tuple(named),
        settings=settings,
    )


def _lap(given: Given, terms: Terms) -> Answer:
    bar, aggregate = given.word("bar"), given.quantity_or_none("aggregate")
    used, settings = terms.choice("lap_rule"), terms.used("lap_rule")
    figures: dict[str, Working] = {}
    for rule in sorted(LAP_RULES, key=lambda rule: rule != used):
        gap = lap_gap(bar, rule=rule, aggregate=aggregate)
        if rule == used:
            shown = _lap_working(bar, gap, aggregate, settings)
        else:
            # Beside the one in use, only what is settled.
            shown = _lap_working(bar, gap, aggregate, ()) if gap.whole else None
        if shown is not None:
            figures["gap" if rule == used else rule] = shown
    if used is None:
        return Answer(figures, words=f"{NO_LIMIT}: the terms name no rule of laps")
    clear = given.quantity_or_none("clear")
    if clear is None:
        return Answer(figures, words=f"{used} is used")
    reason = judged_lap(
        lap_gap(bar, rule=used, aggregate=aggregate),
        clear,
        found=f"{bar}, {clear} clear",
        source=terms.source("lap_rule"),
    )
    verdict = Verdict(reason.state, "laps stand as the terms ask", (reason,))
    return Answer(figures, verdict, f"{used} is used")


def _aggregate(given: Given, terms: Terms) -> Answer:
    size = given.quantity("aggregate")
    reason = aggregate_size(size, terms=terms)
    working = _figure(
        "Largest aggregate",
        f"as typed: {size}",
        size,
        named=(Named("aggregate", size),),
        settings=terms.used("largest_aggregate"),
    )
    return Answer(
        {"aggregate": working},
        Verdict(reason.state, "the largest aggregate the terms take", (reason,)),
    )


def _asked(given: Given, terms: Terms) -> Answer:
    mats = []
    for row in given.rows("mats"):
        mats.append(
            Mat(
                Curtain(row.word("curtain")),
                BarWay(row.word("way")),
                row.word("bar"),
                row.quantity("spacing"),
            )
        )
    splice = None
    if given.has("splice"):
        kind = SpliceKind(given.word("splice"))
        splice = Splice(kind, given.quantity_or_none("splice_clear"))
    verdict = mockup_needed(
        Reinforcement(tuple(mats), splice),
        terms=terms,
        aggregate=given.quantity_or_none("aggregate"),
    )
    figures = {
        f"clear {number}": _clear_working(mat, terms)
        for number, mat in enumerate(mats, start=1)
    }
    return Answer(figures, verdict, asked_because(verdict))


_MATS = (
    Field("bar", "Bar", Kind.CHOICE, choices=BAR.choices),
    SPACING,
    Field("way", "Way", Kind.CHOICE, choices=tuple(BarWay)),
    Field("curtain", "Curtain", Kind.CHOICE, choices=tuple(Curtain)),
)

CALCULATIONS = (
    Calculation(
        name="bar-gap",
        title="Clear spacing of bars",
        group=GROUP,
        says="What is left between parallel bars, and whether it is as much as the "
        "terms ask, in one curtain or two.",
        fields=(
            BAR,
            SPACING,
            Field(
                "curtain",
                "Curtain",
                Kind.CHOICE,
                choices=(ONE_CURTAIN, Curtain.NEARER, Curtain.MIDDLE, Curtain.FARTHER),
            ),
        ),
        run=_gap,
        sources=(*_BARS, IBC_BARS, ACI_BARS),
        settings=_CLEAR,
        example={
            "bar": "No. 5",
            "spacing": ["8", "in"],
            "curtain": "nearer the nozzle",
        },
    ),
    Calculation(
        name="mock-up-asked",
        title="Do the bars ask for a mock-up",
        group=GROUP,
        says="All mats and laps of a part against the terms; each limit that is left "
        "asks that a mock-up shows the bars encased.",
        fields=(
            Field("mats", "Mats", Kind.ROWS, columns=_MATS, most_rows=12),
            Field(
                "splice",
                "Splices",
                Kind.CHOICE,
                choices=tuple(SpliceKind),
                optional=True,
            ),
            length_field(
                "splice_clear", "Clear gap of the laps", most=_WIDEST, optional=True
            ),
            MAYBE_AGGREGATE,
        ),
        run=_asked,
        sources=(*_BARS, IBC_BARS, ACI_BARS),
        settings=(*_CLEAR, "lap_rule"),
        example={
            "mats": [
                {
                    "bar": "No. 6",
                    "spacing": ["6", "in"],
                    "way": "vertical",
                    "curtain": "nearer the nozzle",
                }
            ],
            "splice": "none",
        },
    ),
    Calculation(
        name="lap-gap",
        title="Gap between lapped bars",
        group=GROUP,
        says="The least clear gap of a lap by the rule of the terms, and beside it by "
        "every other rule in use.",
        fields=(
            BAR,
            length_field("clear", "Clear gap of the lap", most=_WIDEST, optional=True),
            MAYBE_AGGREGATE,
        ),
        run=_lap,
        sources=(*_BARS, *dict.fromkeys(LAP_RULES.values())),
        settings=("lap_rule",),
        example={"bar": "No. 4", "clear": ["2", "in"]},
    ),
    Calculation(
        name="bar-spacing",
        title="Spacing that leaves a gap",
        group=GROUP,
        says="Centre to centre, from the clear gap that is wanted.",
        fields=(BAR, length_field("clear", "Clear gap wanted", most=_WIDEST)),
        run=_centres,
        sources=(*_BARS, GEOMETRY),
        example={"bar": "No. 5", "clear": ["2", "in"]},
    ),
    Calculation(
        name="bar-size",
        title="Sizes of one bar",
        group=GROUP,
        says="Nominal diameter, area, and the length once around.",
        fields=(BAR,),
        run=_sizes,
        sources=(*_BARS, GEOMETRY),
        example={"bar": "No. 5"},
    ),
    Calculation(
        name="aggregate-size",
        title="Largest aggregate",
        group=GROUP,
        says="Whether the terms take an aggregate of this size; a mock-up cures none.",
        fields=(AGGREGATE,),
        run=_aggregate,
        sources=(IBC_BARS,),
        settings=("largest_aggregate",),
        example={"aggregate": ["0.375", "in"]},
    ),
)
