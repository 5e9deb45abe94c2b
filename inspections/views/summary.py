"""What is on a sheet, in six or seven rows: read before a name is put under it."""

from __future__ import annotations

from collections import Counter
from collections.abc import Iterable, Mapping
from dataclasses import dataclass
from decimal import Decimal
from typing import Any

from django.utils.translation import gettext as _
from django.utils.translation import ngettext

from project.charts.text import quantity_text
from project.domain.units import Quantity
from project.domain.verdict import State

Said = Mapping[str, Any]


@dataclass(frozen=True, slots=True)
class Row:
    """One row: what, in which words, how much; `stamp` where something is unknown."""

    name: str
    words: str
    figure: str = ""
    stamp: str = ""
    stamp_words: str = ""


def rows_of(content: Said) -> list[Row]:
    """Return the rows of a sheet's content, in a fixed order."""
    return [
        _nozzle_time(content),
        _loads(content),
        _rounds(content),
        _readings(content),
        _panels(content),
        _deficiencies(content),
        _photographs(content),
    ]


def _nozzle_time(content: Said) -> Row:
    held = [held for placed in content["placed"] for held in placed["nozzle_times"]]
    words = "; ".join(
        _("%(operator)s, %(start)s to %(stop)s")
        % {
            "operator": one["operator"],
            "start": _clock(one["start"]),
            "stop": _clock(one["stop"]) or _("now"),
        }
        for one in held
    )
    not_held = [
        one["operator"]
        for one in held
        if one["standing"] is None
        or one["standing"]["state"] not in (State.PASS, State.CONDITION)
    ]
    return Row(
        _("Nozzle time"),
        words or content["shift"]["no_work"] or _("nobody took the nozzle"),
        _volume((placed["neat"] for placed in content["placed"]), tenths=True),
        "not qualified" if not_held else "",
        ", ".join(dict.fromkeys(not_held)),
    )


def _loads(content: Said) -> Row:
    accepted = [one for one in content["loads"] if one["accepted"]]
    refused = len(content["loads"]) - len(accepted)
    words = ngettext("%(n)s accepted", "%(n)s accepted", len(accepted))
    words %= {"n": len(accepted)}
    if refused:
        words += ", " + _("%(n)s sent back") % {"n": refused}
    if not content["loads"]:
        words = _("none on record")
    return Row(_("Loads"), words, _volume(one["volume"] for one in accepted))


def _rounds(content: Said) -> Row:
    counts: Counter[str] = Counter()
    for walk in content["rounds"]:
        counts.update(walk["counts"])
    walks = len(content["rounds"])
    words = ngettext("%(n)s round", "%(n)s rounds", walks) % {"n": walks}
    words += ", " + _("%(right)s items right, %(deficient)s deficient") % {
        "right": counts["right"],
        "deficient": counts["deficient"],
    }
    if not walks:
        return Row(_("Rounds"), _("none walked"), stamp="not looked at")
    missed = counts["not_looked_at"]
    if not missed:
        return Row(_("Rounds"), words)
    unseen = _("%(n)s not looked at") % {"n": missed}
    return Row(_("Rounds"), words, stamp="not looked at", stamp_words=unseen)


def _readings(content: Said) -> Row:
    kinds = Counter(one["kind"] for one in content["readings"])
    words = [f"{kind} {n}" for kind, n in kinds.items()]
    weather = len(content["weather"])
    words.append(ngettext("weather %(n)s", "weather %(n)s", weather) % {"n": weather})
    return Row(_("Readings"), ", ".join(words), str(len(content["readings"]) + weather))


def _panels(content: Said) -> Row:
    made = content["panels"]
    codes = ", ".join(one["panel"] for one in made)
    return Row(_("Panels"), codes or _("none shot in this shift"), str(len(made)))


def _deficiencies(content: Said) -> Row:
    states = Counter(one["state"] for one in content["deficiencies"])
    words = ", ".join(f"{n} {state}" for state, n in states.items())
    total = str(len(content["deficiencies"]))
    return Row(_("Deficiencies"), words or _("none found"), total)


def _photographs(content: Said) -> Row:
    pictures = content["photographs"]
    return Row(
        _("Photographs"),
        _("all kept with their hash") if pictures else _("none"),
        str(len(pictures)),
    )


def _volume(pairs: Iterable[Any], *, tenths: bool = False) -> str:
    given = [pair for pair in pairs if pair]
    units = {pair[1] for pair in given}
    if len(units) != 1:
        return ""
    total = sum((Decimal(pair[0]) for pair in given), Decimal(0))
    if tenths:
        total = round(total, 1)
    return quantity_text(Quantity(total, units.pop()))


def _clock(moment: Mapping[str, str] | None) -> str:
    return moment["local"].split(" ")[1] if moment else ""
