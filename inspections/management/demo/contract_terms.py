"""The demo contract's terms, read from its scenario as departures by name.

Terms the product does not use yet (curing, sounding, shares, panel sizes) stay in
the scenario's file; a re-entry strength is never a term.
"""

from __future__ import annotations

from collections.abc import Mapping
from datetime import date
from decimal import Decimal
from typing import Any

from project.domain.editions import (
    CONTRACT,
    IBC_2018,
    PROJECT,
    Departure,
    aci_506_2_13_panels,
    departing,
    resolve,
)
from project.domain.term_kinds import (
    AGENCY,
    LD_175,
    MARKED_PARTS,
    MOCK_UP_CLEARANCE,
    SOAKED,
    US_FORM,
    Value,
)
from project.domain.terms import Terms
from project.domain.verdict import Known, Source

_EDITIONS = {"IBC 2018 s.1908": IBC_2018.key}
_CONDITIONING = {"soaked at least 24 h (IBC)": SOAKED}
_FORMS = {"US (ACI 305R)": US_FORM}
_DEADLINES = {"end of the next work day": 1}
_EDGE = "panel depth + 1 in. (from memory, C1140)"
_C1140 = Source("ASTM C1140", "distance of cores from the edge", known=Known.MEMORY)

_SPECIFIED = "contract specification"
_CHOSEN = "project's choice, no published number"
_SUBMITTED = "approved submittals"


def _number(value: Any) -> Value:
    return None if value is None else Decimal(str(value))


def _cores(row: Mapping[str, Any]) -> dict[str, tuple[Value, str | None]]:
    if row["edge_zone"] != _EDGE or row["ld_limit"] != Decimal("1.75"):
        raise ValueError(f"edge zone {row['edge_zone']!r}, L/D {row['ld_limit']}")
    return {
        "core_count": (_number(row["cores_required"]), None),
        "core_age": (_number(row["test_age_d"]), "d"),
        "early_core_count": (_number(row["early_cores"]), None),
        "early_core_age": (_number(row["early_age_d"]), "d"),
        "core_average": (_number(row["average_min"]), None),
        "core_single": (_number(row["single_min"]), None),
        "core_rounding": (row["rounding"], None),
        "ld_limit": (LD_175, None),
        "conditioning": (_CONDITIONING[row["conditioning"]], None),
        "core_diameter_least": (_number(row["core_min_diameter_in"]), "in"),
        "result_overdue_after": (_number(row["result_overdue_after_days"]), "d"),
        "volume_basis": (row["volume_basis"], None),
    }


def _people_and_record(row: Mapping[str, Any]) -> dict[str, tuple[Value, str | None]]:
    sign_within = _DEADLINES[row["report_signature_deadline"]]
    return {
        "card_last_day_inclusive": (row["card_last_day_inclusive"], None),
        "trainee_ratio": (_number(row["trainee_ratio"]), None),
        "trainee_parts": (MARKED_PARTS, None),
        "continuous_inspection": (row["continuous_inspection"], None),
        "round_interval": (_number(row["round_interval_min"]), "min"),
        "report_sign_within": (_number(sign_within), None),
        "associate_signs_alone": (row["associate_inspector_may_sign_alone"], None),
        "packet_prepared_by": (
            {"inspection agency": AGENCY}[row["packet_prepared_by"]],
            None,
        ),
        "pass_vertical": (_number(row["max_pass_in"]["vertical"]), "in"),
        "thickness_low": (_number(row["thickness_tolerance_in"][0]), "in"),
        "thickness_high": (_number(row["thickness_tolerance_in"][1]), "in"),
        "restart_gap": (_number(row["restart_gap_min"]), "min"),
        "air_low": (_number(row["air_floor_f"]), "F"),
        "evaporation_form": (_FORMS[row["evaporation"]["form"]], None),
    }


def _chosen(row: Mapping[str, Any]) -> dict[str, tuple[Value, str | None]]:
    return {
        "panel_still": (_number(row["panel_still_h"]), "h"),
        "core_after": (_number(row["panel_min_age_before_coring_h"]), "h"),
        "idle_limit": (_number(row["idle_limit_days"]), "d"),
        "idle_per_process": (row["idle_per_process"], None),
        "ncr_response": (_number(row["ncr_response_days"]), "d"),
    }


def _submitted(row: Mapping[str, Any]) -> dict[str, tuple[Value, str | None]]:
    low, high = row["concrete_temp_f"]
    evaporation = row["evaporation"]
    return {
        "load_age": (_number(row["load_age_min"]), "min"),
        "concrete_low": (_number(low), "F"),
        "concrete_high": (_number(high), "F"),
        "evaporation_limit": (_number(evaporation["limit"]), evaporation["unit"]),
        "evaporation_limit_silica_fume": (
            _number(evaporation["limit_silica_fume"]),
            evaporation["unit"],
        ),
    }


def _as_shown(row: Mapping[str, Any]) -> dict[str, Departure]:
    """Return what the accepted mock-ups opened; the first revision has none of it."""
    reasons = {line["value"]: line["reason"] for line in row["departures"]}
    shown = {}
    overhead = row["max_pass_in"]["overhead"]
    if overhead is not None:
        reason = reasons[f"max_pass_in.overhead {overhead} in."]
        shown["pass_overhead"] = Departure(_number(overhead), "in", reason)
    clearance = reasons.get("bar clearances under the code default")
    if clearance is not None:
        shown["bar_clearance"] = Departure(MOCK_UP_CLEARANCE, None, clearance)
    return shown


def _edge_zone() -> dict[str, Departure]:
    return {
        "edge_zone_depths": Departure(Decimal(1), None, _SPECIFIED, _C1140),
        "edge_zone_add": Departure(Decimal(1), "in", _SPECIFIED, _C1140),
    }


def departures_of(row: Mapping[str, Any]) -> dict[str, Departure]:
    """Return the departures of one revision in the scenario's `terms`."""
    groups = (
        (_cores(row) | _people_and_record(row), _SPECIFIED, CONTRACT),
        (_chosen(row), _CHOSEN, PROJECT),
        (_submitted(row), _SUBMITTED, CONTRACT),
    )
    given = {
        name: Departure(value, unit, reason, source)
        for values, reason, source in groups
        for name, (value, unit) in values.items()
    }
    own = departing(_EDITIONS[row["base_edition"]], given)
    return own | aci_506_2_13_panels(_SPECIFIED) | _edge_zone() | _as_shown(row)


def terms_of(row: Mapping[str, Any]) -> Terms:
    """Return one revision of the scenario's `terms`, resolved in full."""
    return resolve(
        _EDITIONS[row["base_edition"]],
        revision=row["revision"],
        effective_on=date.fromisoformat(row["effective"]),
        departures=departures_of(row),
    )
