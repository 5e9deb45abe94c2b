"""The signed daily field reports, printed from the content that was signed."""

from __future__ import annotations

from collections.abc import Mapping, Sequence
from decimal import Decimal
from typing import Any

from django.utils.translation import gettext as _
from django.utils.translation import gettext_noop

from inspections.packet.gathering.reading import Reading, sum_of_tenths, tenth
from inspections.packet.shape import (
    DeficientRow,
    Line,
    LoadRow,
    Mark,
    Moment,
    Report,
    ReportPlaced,
    RoundRow,
    Signed,
    WeatherRow,
    mark,
)
from inspections.queries.evaporations import Evaporating, evaporations
from inspections.queries.reports import Sheet
from project.charts.stamps import eligibility_stamp
from project.charts.text import number_text, quantity_text
from project.domain.clocks import elapsed_minutes
from project.domain.units import Quantity
from project.domain.verdict import State

_ROUNDS = {
    "element": gettext_noop("before shooting"),
    "shift": gettext_noop("start of shift"),
    "load": gettext_noop("load"),
    "round": gettext_noop("walking round"),
    "layer": gettext_noop("layer"),
    "finish": gettext_noop("finish"),
    "visit": gettext_noop("curing visit"),
    "hardened": gettext_noop("hardened"),
}


def report_section(reading: Reading) -> list[Report]:
    """Return every sheet the packet prints, by number."""
    return [_report(reading, sheet) for sheet in reading.signed]


def sheet_mark(sheet: Sheet) -> Mark:
    """Return how a sheet stands: reviewed, signed and waiting, or late besides."""
    if sheet.waits_for_review:
        return mark("not reviewed")
    return mark("reviewed" if sheet.reviewed else "signed")


def _report(reading: Reading, sheet: Sheet) -> Report:
    version = sheet.last
    if version is None:
        raise ValueError(f"{sheet.code}: not signed")
    content: Mapping[str, Any] = version.content
    shift = content["shift"]
    return {
        "number": sheet.code,
        "sheet": sheet.row.number,
        "version": version.n,
        "sha256": version.sha256,
        "work_date": str(shift["work_date"]),
        "start": shift["starts"],
        "stop": shift["stops"],
        "shift": shift["name"],
        "contractor": shift["contractor"],
        "inspector": content["sheet"]["inspector"],
        "agency": content["sheet"]["firm"],
        "day_of_contract": "",
        "mark": mark("conforming" if version.conforming else "not conforming"),
        "statement": version.signature.statement,
        "amended": _amended(sheet),
        "placed": [
            _placed(row, held)
            for row in content["placed"]
            for held in row["nozzle_times"]
        ],
        "totals": _totals(content),
        "loads": [_load(row) for row in content["loads"]],
        "loads_total": _accepted(content["loads"]),
        "weather": _weather(reading, sheet, content),
        "rounds": [_round(row) for row in content["rounds"]],
        "deficient": [_deficient(row) for row in content["deficiencies"]],
        "lines": _lines(content),
        "signatures": _signatures(reading, sheet),
    }


def _amended(sheet: Sheet) -> list[Line]:
    return [
        {
            "label": _("Version %(n)s") % {"n": version.n},
            "words": version.reason,
        }
        for version in sheet.versions
        if version.n > 1
    ]


def _quantity(pair: Sequence[str] | None) -> str:
    return "" if pair is None else quantity_text(Quantity(Decimal(pair[0]), pair[1]))


def _placed(row: Mapping[str, Any], held: Mapping[str, Any]) -> ReportPlaced:
    standing = held["standing"]
    state = State(standing["state"]) if standing else State.UNDECIDED
    share = held["neat"]
    return {
        "placement": row["placement"],
        "part": row["part"],
        "part_words": row["part_words"],
        "mix": f"{row['mix']} rev {row['mix_revision']}",
        "operator": f"{held['operator']} {held['name']}",
        "start": held["start"],
        "stop": held["stop"],
        "neat": tenth(Quantity(Decimal(share[0]), share[1])) if share else "",
        "mark": mark(eligibility_stamp(state).name),
    }


def _totals(content: Mapping[str, Any]) -> list[Line]:
    """Add what the lines above print; where a share is not known, the placement's."""
    volumes: list[Sequence[str]] = []
    for row in content["placed"]:
        shares = [held["neat"] for held in row["nozzle_times"]]
        volumes += shares if all(shares) and shares else [row["neat"]]
    total = sum_of_tenths(Quantity(Decimal(q[0]), q[1]) for q in volumes if q)
    return [{"label": _("This sheet"), "words": tenth(total)}] if total else []


def _accepted(loads: Sequence[Mapping[str, Any]]) -> str:
    volumes = [row["volume"] for row in loads if row["accepted"]]
    if not volumes:
        return ""
    return _quantity([str(sum(Decimal(v[0]) for v in volumes)), volumes[0][1]])


def _instant(moment: Moment | None) -> Any:
    from datetime import datetime

    return None if moment is None else datetime.fromisoformat(moment["utc"])


def _tests(rows: Sequence[Mapping[str, Any]]) -> dict[str, str]:
    """Return the fresh tests of a load by kind; repeated ones name their unit once."""
    by_kind: dict[str, list[Sequence[str]]] = {}
    for row in rows:
        by_kind.setdefault(row["kind"], []).append(row["value"])
    told = {}
    for kind, values in by_kind.items():
        alike = len({value[1] for value in values}) == 1
        first = [
            number_text(Decimal(value[0])) if alike else _quantity(value)
            for value in values[:-1]
        ]
        told[kind] = ", ".join([*first, _quantity(values[-1])])
    return told


def _load(row: Mapping[str, Any]) -> LoadRow:
    tests = _tests(row["tests"])
    batched, last = _instant(row["batched"]), _instant(row["last_shot"])
    age = ""
    if batched and last:
        minutes = Decimal(elapsed_minutes(batched, last))
        age = quantity_text(Quantity(minutes, "min"))
    water = row["water_added"]
    words = [] if row["accepted"] else [row["refused_because"]]
    if water and Decimal(water[0]):
        words.append(_("water added %(q)s") % {"q": _quantity(water)})
    return {
        "ticket": row["ticket"] or row["lot"],
        "volume": _quantity(row["volume"]),
        "batched": row["batched"],
        "arrived": row["arrived"],
        "last_shot": row["last_shot"],
        "age": age,
        "limit": "",
        "slump": tests.get("slump", ""),
        "air": tests.get("air", ""),
        "temperature": tests.get("temperature", ""),
        "words": "; ".join(words),
        "mark": None if row["accepted"] else mark("refused"),
    }


def _weather(
    reading: Reading, sheet: Sheet, content: Mapping[str, Any]
) -> list[WeatherRow]:
    found = evaporations(content, mixes=reading.mixes_in_weather, terms=sheet.terms)
    rows = zip(content["weather"], found, strict=True)
    return [_weather_row(row, each) for row, each in rows]


def _weather_row(row: Mapping[str, Any], each: Evaporating) -> WeatherRow:
    reason = each.reason
    limit = None if reason is None else reason.limit
    by_form = _("by the %(form)s form") % {"form": each.form} if each.form else ""
    return {
        "at": row["at"],
        "air": _quantity(row["air"]),
        "humidity": _quantity(row["humidity"]),
        "wind": _quantity(row["wind"]),
        "concrete": _quantity(row["concrete"]),
        "evaporation": "" if each.rate is None else quantity_text(each.rate),
        "limit": "" if limit is None else quantity_text(limit),
        "words": "; ".join(filter(None, (row["sky"], by_form))),
        "mark": mark("over") if each.over else None,
    }


def _round(row: Mapping[str, Any]) -> RoundRow:
    counts = row["counts"]
    return {
        "at": row["at"],
        "name": ", ".join(_(_ROUNDS[kind]) for kind in row["kinds"]),
        "part": row["part"],
        "right": counts["right"],
        "deficient": counts["deficient"],
        "does_not_apply": counts["does_not_apply"],
        "not_looked_at": counts["not_looked_at"],
    }


def _deficient(row: Mapping[str, Any]) -> DeficientRow:
    put_right = [m["words"] for m in row["moves"] if m["move"] == "correct"]
    became = [m["evidence"].get("nonconformance") for m in row["moves"]]
    closed = row["state"] not in ("open", "corrected")
    return {
        "at": row["seen"],
        "code": row["number"],
        "item": row["title"],
        "place": row["place"],
        "put_right": "; ".join([*put_right, *(c for c in became if c)]),
        "mark": mark("closed" if closed else "open"),
    }


def _lines(content: Mapping[str, Any]) -> list[Line]:
    """Return crew, rig, panels, readings and remarks, a line each."""
    lines: list[Line] = []
    by_role: dict[str, list[str]] = {}
    for stood in content["crew"]:
        names = by_role.setdefault(stood["role"], [])
        if stood["name"] not in names:
            names.append(stood["name"])
    crews = sorted({row["crew"] for row in content["placed"]})
    if by_role:
        words = "; ".join(f"{role} {', '.join(n)}" for role, n in by_role.items())
        label = _("Crew %(code)s") % {"code": ", ".join(crews)}
        lines.append({"label": label, "words": words})
    for rig in sorted({row["rig"] for row in content["placed"]}):
        lines.append({"label": _("Rig"), "words": rig})
    for panel in content["panels"]:
        words = f"{panel['operator']} {panel['name']}, {panel['position']}"
        lines.append(
            {"label": panel["panel"], "words": f"{words}. {panel['witness_words']}"}
        )
    lines += _readings(content["readings"])
    lines += [
        {"label": row["kind"], "words": row["words"]} for row in content["remarks"]
    ]
    return lines


def _readings(rows: Sequence[Mapping[str, Any]]) -> list[Line]:
    by_kind: dict[str, list[Sequence[str]]] = {}
    for row in rows:
        by_kind.setdefault(row["kind"], []).append(row["value"])
    lines: list[Line] = []
    for kind, values in by_kind.items():
        numbers = [Decimal(value[0]) for value in values]
        unit = values[0][1]
        mean = (sum(numbers, Decimal(0)) / len(numbers)).quantize(Decimal("0.01"))
        words = _("%(n)s readings, least %(least)s, mean %(mean)s, most %(most)s") % {
            "n": len(numbers),
            "least": quantity_text(Quantity(min(numbers), unit)),
            "mean": quantity_text(Quantity(mean, unit)),
            "most": quantity_text(Quantity(max(numbers), unit)),
        }
        lines.append({"label": kind, "words": words})
    return lines


def _signatures(reading: Reading, sheet: Sheet) -> list[Signed]:
    rows = [version.signature for version in sheet.versions]
    rows += [
        move.signature
        for move in sheet.moves
        if move.move == "review" and move.signature is not None
    ]
    hands: list[Signed] = [
        {
            "name": row.printed_name,
            "meaning": row.meaning,
            "at": reading.moment(row.signed_at),
        }
        for row in rows
    ]
    if sheet.waits_for_review:
        words = _("signed, not yet reviewed by a second person")
        hands.append({"name": "", "meaning": words, "at": None})
    return hands
