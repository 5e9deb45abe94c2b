"""What became of what was delivered, as calculations that say what they take."""

from __future__ import annotations

from decimal import Decimal

from crews.domain.nozzle_volume import NeatShare, TimeOnNozzle, neat_shares
from crews.domain.trade_words import VolumeBasis
from inspections.domain.placing import NozzleVolume, Share, delivered_shares
from inspections.domain.rebound import (
    EM_1993,
    GUIDE_1990,
    GUIDE_2005,
    OLDER,
    Surface,
    rebound_advice,
    usual_rebound,
)
from inspections.domain.thickness import (
    BOTH_DECIDE,
    SETTINGS,
    Thickness,
    judge_thickness,
    thickness_of,
)
from inspections.domain.usual import PRACTICE, ends
from inspections.domain.volumes import DEFINED, GEOMETRY, Tickets, volumes
from inspections.domain.worked.ordering import (
    GROUP,
    area_field,
    neat,
    thickness_field,
    volume_field,
)
from project.domain.calculation import Answer, Calculation, Field, Given, Kind
from project.domain.reporting import reported, rounding_words
from project.domain.shooting_words import Process
from project.domain.terms import Terms
from project.domain.units import Quantity
from project.domain.verdict import Known, Source
from project.domain.working import Step, Working

_FACE = VolumeBasis.FACE
_GONE = ("returned", "line_waste", "panels", "removed", "cuttings")
_SHARED = Source(
    "loads shared at hand-over, else in proportion to neat volume",
    known=Known.PROJECT,
)
_BY_MINUTES = Source(
    "neat volume as stated, else by minutes on the nozzle", known=Known.PROJECT
)
_READINGS = Field(
    "readings",
    "Readings of the thickness",
    Kind.ROWS,
    columns=(thickness_field("thickness", "Thickness"),),
    optional=True,
)


def _read(given: Given) -> Thickness | None:
    taken = [row.quantity("thickness") for row in given.rows("readings")]
    return thickness_of(given.quantity("design"), readings=taken)


def _placed(given: Given, _: Terms) -> Answer:
    face = neat(given.quantity("area"), given.quantity("design"))
    gone = {name: given.quantity_or_none(name) for name in _GONE}
    tickets = Tickets(given.quantity("delivered"), **gone)
    read = _read(given)
    made = volumes(neat=face.exact, tickets=tickets, thickness=read)
    figures = {"neat": face}
    figures |= {name: made.made[name] for name in _ORDER if name in made.made}
    if read is not None:
        figures["mean thickness"] = read.working()
    said = list(made.flags)
    said += [
        f"{name} not known: {made.unknown[name]}"
        for name in _ORDER
        if name in made.unknown
    ]
    return Answer(figures, words="; ".join(said))


_ORDER = (
    *("in place", "overbuild", "overbuild of neat", "shot", "loss", "loss of shot"),
    *("rebound", "rebound of shot", "yield", "waste factor"),
)


def _thickness(given: Given, terms: Terms) -> Answer:
    read = _read(given)
    verdict = judge_thickness(read, terms=terms)
    if read is None:
        return Answer({}, verdict, "no readings")
    figures = {"mean": read.working(terms)}
    for name in ("least", "greatest"):
        figures[name] = _reading(f"{name} reading", getattr(read, name))
    return Answer(figures, verdict)


def _reading(name: str, value: Quantity) -> Working:
    return Working(
        title=f"{name[:1].upper()}{name[1:]}",
        inputs=(),
        steps=(Step(name, str(reported(value)), BOTH_DECIDE),),
        exact=value,
        reported=reported(value),
        rounding=rounding_words(value.unit),
    )


def _rebound(given: Given, _: Terms) -> Answer:
    surface = Surface(given.word("surface"))
    process = Process(given.word("process"))
    verdict = rebound_advice(surface, process, share=given.quantity_or_none("share"))
    words = "; ".join(f"{reason.key}: {reason.found}" for reason in verdict.reasons)
    figures = dict(ends(usual_rebound(surface, process)))
    return Answer(figures, verdict, words)


def _shares(given: Given, _: Terms) -> Answer:
    times = [
        NozzleVolume(
            str(number), row.quantity_or_none("neat"), row.quantity_or_none("loads")
        )
        for number, row in enumerate(given.rows("times"), start=1)
    ]
    shares = delivered_shares(times, delivered=given.quantity("delivered"))
    figures = {
        f"nozzle time {share.id}": _part(share, share.volume)
        for share in shares
        if share.volume is not None
    }
    words = "; ".join(f"nozzle time {share.id}: {share.words}" for share in shares)
    return Answer(figures, words=words)


def _neat_shares(given: Given, _: Terms) -> Answer:
    times = [
        TimeOnNozzle(str(n), _minutes(row), row.quantity_or_none("stated"), _FACE)
        for n, row in enumerate(given.rows("times"), start=1)
    ]
    shares = neat_shares(given.quantity_or_none("face"), times)
    figures = {
        f"nozzle time {share.id}": _part(share, share.volume)
        for share in shares
        if share.volume is not None
    }
    words = "; ".join(f"nozzle time {share.id}: {share.words}" for share in shares)
    return Answer(figures, words=words)


def _minutes(row: Given) -> int | None:
    return row.count("minutes") if row.has("minutes") else None


def _part(share: Share | NeatShare, volume: Quantity) -> Working:
    return Working(
        title=f"Share of nozzle time {share.id}",
        inputs=(),
        steps=(Step("share", f"{share.words}: {reported(volume)}", _SHARED),),
        exact=volume,
        reported=reported(volume),
        rounding=rounding_words(volume.unit),
    )


CALCULATIONS = (
    Calculation(
        name="placing-volumes",
        title="What became of what was delivered",
        group=GROUP,
        says="Parts what was delivered into what was shot, what is in place, what was "
        "built too thick, what was removed, and what was lost; what is not known stays "
        "unknown.",
        fields=(
            area_field(),
            thickness_field("design", "Thickness as drawn"),
            volume_field("delivered", "Delivered and accepted", may_be_none=False),
            volume_field("returned", "Went back"),
            volume_field("line_waste", "Stayed in the line or was washed out"),
            volume_field("panels", "Went to panels"),
            volume_field("removed", "Bad work removed while fresh"),
            volume_field("cuttings", "Cut off in finishing, measured"),
            _READINGS,
        ),
        run=_placed,
        sources=(DEFINED, GEOMETRY),
        example={
            "area": ["480", "ft2"],
            "design": ["9", "in"],
            "delivered": ["16.50", "yd3"],
            "returned": ["0.25", "yd3"],
            "line_waste": ["0.35", "yd3"],
            "panels": ["0.062", "yd3"],
            "removed": ["0", "yd3"],
            "cuttings": ["0", "yd3"],
            "readings": [
                {"thickness": ["8.9", "in"]},
                {"thickness": ["9.2", "in"]},
                {"thickness": ["9.5", "in"]},
            ],
        },
    ),
    Calculation(
        name="thickness",
        title="Thickness, least and mean",
        group=GROUP,
        says="Holds the least reading, the mean and the greatest against what the "
        "contract allows; a low spot fails under a good mean.",
        fields=(thickness_field("design", "Thickness as drawn"), _READINGS),
        run=_thickness,
        sources=(BOTH_DECIDE,),
        settings=SETTINGS,
        example={
            "design": ["10", "in"],
            "readings": [
                {"thickness": ["9.8", "in"]},
                {"thickness": ["10.4", "in"]},
            ],
        },
    ),
    Calculation(
        name="rebound-advice",
        title="Usual rebound",
        group=GROUP,
        says="Which rebound is usual by surface and process, by every source; advice, "
        "never acceptance.",
        fields=(
            Field("surface", "Surface", Kind.CHOICE, choices=tuple(Surface)),
            Field("process", "Process", Kind.CHOICE, choices=tuple(Process)),
            Field(
                "share",
                "Rebound or loss, of what was shot",
                Kind.QUANTITY,
                unit="percent",
                least=Decimal(0),
                most=Decimal(100),
                optional=True,
            ),
        ),
        run=_rebound,
        sources=(OLDER, GUIDE_1990, EM_1993, GUIDE_2005, PRACTICE),
        example={
            "surface": "wall or slope",
            "process": "wet",
            "share": ["12", "percent"],
        },
    ),
    Calculation(
        name="shared-loads",
        title="Each nozzle time's share of what was delivered",
        group=GROUP,
        says="Loads shared at hand-over as they are, and the rest in proportion to neat "
        "volume, then called estimated.",
        fields=(
            volume_field("delivered", "Delivered and accepted", may_be_none=False),
            Field(
                "times",
                "Nozzle times",
                Kind.ROWS,
                columns=(
                    volume_field("neat", "Neat volume"),
                    volume_field("loads", "Loads shared at hand-over"),
                ),
            ),
        ),
        run=_shares,
        sources=(_SHARED,),
        example={
            "delivered": ["14.30", "yd3"],
            "times": [{"neat": ["7.4", "yd3"]}, {"neat": ["4.5", "yd3"]}],
        },
    ),
    Calculation(
        name="shared-face",
        title="Each nozzle time's share of the neat volume",
        group=GROUP,
        says="What was stated at hand-over as it is, and the rest of the face by minutes "
        "on the nozzle, then called estimated.",
        fields=(
            volume_field("face", "Neat volume of the face"),
            Field(
                "times",
                "Nozzle times",
                Kind.ROWS,
                columns=(
                    Field(
                        "minutes",
                        "Minutes, none while it runs",
                        Kind.COUNT,
                        least=Decimal(0),
                        most=Decimal(10_000),
                        optional=True,
                    ),
                    volume_field("stated", "Neat volume stated"),
                ),
            ),
        ),
        run=_neat_shares,
        sources=(_BY_MINUTES,),
        example={
            "face": ["11.9", "yd3"],
            "times": [{"minutes": "270"}, {"minutes": "95"}],
        },
    ),
)
