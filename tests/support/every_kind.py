"""A calculation that takes every kind of input there is, for tests of page and reader."""

from __future__ import annotations

from decimal import Decimal

from project.domain.calculation import Answer, Calculation, Field, Given, Kind
from project.domain.terms import Terms
from project.domain.units import Quantity
from project.domain.verdict import Known, Reason, Source, State, Verdict
from project.domain.working import Named, Step, Working

NOWHERE = Source("A test", "1", "2026", Known.PROJECT)
CELLS = (
    Field(
        "wide", "Width", Kind.QUANTITY, unit="in", above=Decimal(0), most=Decimal(12)
    ),
    Field("times", "How often", Kind.COUNT, least=Decimal(1), most=Decimal(9)),
    Field("sort", "Sort", Kind.CHOICE, choices=("old", "new"), optional=True),
    Field("wet", "Wet", Kind.FLAG, optional=True),
)
FIELDS = (
    Field("f_c", "Specified strength", Kind.QUANTITY, unit="psi", above=Decimal(0)),
    Field("share", "Share", Kind.NUMBER, least=Decimal(0), most=Decimal(1)),
    Field("shot", "Shot at", Kind.INSTANT),
    Field("day", "Work date", Kind.DAY, optional=True, note="on the job's calendar"),
    Field("wet", "Wet", Kind.FLAG, optional=True),
    Field("note", "Remark", Kind.WORDS, optional=True),
    Field("rows", "Rows", Kind.ROWS, columns=CELLS, fewest=2, most_rows=80),
)
EXAMPLE = {
    "f_c": ["4500", "psi"],
    "share": "0.85",
    "shot": "2026-08-13T07:10-06:00",
    "rows": [
        {"wide": ["3.06", "in"], "times": "2", "sort": "old", "wet": "no"},
        {"wide": ["76", "mm"], "times": "1"},
    ],
}


def _run(given: Given, terms: Terms) -> Answer:
    share = given.number("share")
    if share == Decimal("0.5"):
        raise ValueError("share 0.5: allowed is another one")
    if share == Decimal("0.25"):
        raise ValueError("share and rows do not go together")
    if share == 0:
        Decimal(1) / share
    f_c = given.quantity("f_c")
    exact = Quantity(f_c.value * share, f_c.unit)
    working = Working(
        "A share of the strength",
        (
            Named("f_c", f_c),
            Named("rows", Quantity(Decimal(len(given.rows("rows"))), "1")),
        ),
        (Step("share", f"{f_c.value} × {share} = {exact}", NOWHERE),),
        exact,
        Quantity(exact.value.quantize(Decimal("1E1")), f_c.unit),
        "to 10",
        terms.used("core_average"),
    )
    reason = Reason(
        "share", "Not all of it", State.FAIL, f"{share}", NOWHERE, limit=f_c
    )
    verdict = Verdict(State.FAIL, "a test's own rule", (reason,))
    return Answer({"share": working}, verdict, "Not all of it.")


EVERY_KIND = Calculation(
    name="every-kind",
    title="Every kind of input",
    group="Tests",
    says="Takes what can be taken.",
    fields=FIELDS,
    run=_run,
    sources=(NOWHERE,),
    example=EXAMPLE,
    settings=("core_average", "ld_limit", "load_age", "panel_position"),
    caution="Nobody is to trust this.",
)
