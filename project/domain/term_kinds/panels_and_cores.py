"""Terms of test panels, cores, cubes and their strength."""

from __future__ import annotations

from collections.abc import Mapping

from project.domain.term_kinds import words
from project.domain.term_kinds.shapes import (
    TermKind,
    choice,
    count,
    flag,
    number,
    quantity,
    ratio,
)

_PANELS = "Test panels owed"
_MADE = "How a panel is made"
_CORES = "Cores"
_STRENGTH = "Strength"
_KEPT = "kept and printed; nothing is judged by it yet"
_IF_ASKED = "where the document asks for it"

PANELS_AND_CORES: Mapping[str, TermKind] = {
    "panel_period": choice(
        _PANELS, "Counted by", words.WORK_DATE, words.SHIFT, required=True
    ),
    "panel_per": choice(
        _PANELS,
        "At least one for each",
        words.PER_MIX,
        words.PER_OPERATOR,
        required=True,
    ),
    "panel_position": flag(
        _PANELS, "Each position is counted by itself", required=True
    ),
    "panel_volume": quantity(
        _PANELS,
        "Not fewer than one for each",
        "volume",
        note="in the unit of the document: 50 yd3 and 40 m3 are not one limit",
    ),
    "panel_count": choice(
        _PANELS,
        "The larger count is taken",
        words.GLOBAL,
        words.PER_CELL,
        required=True,
        note="global: over all who shot the mix; per cell: for each of them",
    ),
    "volume_basis": choice(
        _PANELS,
        "Volume counted",
        words.DELIVERED,
        words.PUMPED,
        words.IN_PLACE,
        words.NEAT,
    ),
    "panel_side_least": quantity(_MADE, "Least side of a panel", "length"),
    "panel_side_least_fine": quantity(
        _MADE, "Least side, fine aggregate", "length", note=_IF_ASKED
    ),
    "fine_aggregate_most": quantity(
        _MADE, "Fine is an aggregate of at most", "length", note=_IF_ASKED
    ),
    "panel_depth_least": quantity(_MADE, "Least depth of a panel", "length"),
    "panel_curing": choice(
        _MADE,
        "Panels are cured",
        words.AS_THE_WORK,
        words.IN_LABORATORY,
        note=_KEPT,
    ),
    "panel_still": quantity(_MADE, "Not moved before", "time", note=_KEPT),
    "core_count": count(_CORES, "Cores to a set", required=True),
    "core_age": quantity(
        _CORES,
        "Age at test",
        "time",
        required=True,
        note="a mix revision's own age comes first",
    ),
    "early_core_count": count(_CORES, "Early cores", least=0),
    "early_core_age": quantity(
        _CORES, "Age of early cores", "time", note="for information, never a pass"
    ),
    "conditioning": choice(
        _CORES,
        "Cores before the test",
        words.SOAKED,
        words.SEALED,
        words.AS_RECEIVED,
    ),
    "core_diameter_least": quantity(_CORES, "Least core diameter", "length"),
    "edge_zone_depths": number(
        _CORES,
        "Edge zone, panel depths",
        most=10,
        note="no part of a core lies nearer to the panel's edge than this many "
        "panel depths and the length below",
    ),
    "edge_zone_add": quantity(_CORES, "Edge zone, and beside that", "length"),
    "core_after": quantity(_CORES, "Not cored before", "time"),
    "result_overdue_after": quantity(_CORES, "A result is overdue after", "time"),
    "strength_unit": choice(
        _STRENGTH, "Strength is computed in", words.PSI, words.MPA, required=True
    ),
    "ld_limit": choice(
        _STRENGTH,
        "Corrected where length over diameter is",
        words.LD_175,
        words.LD_194,
        required=True,
    ),
    "strength_basis": choice(
        _STRENGTH,
        "Shares are of",
        words.OF_F_C,
        words.OF_REQUIRED,
        required=True,
        note="f_c of the mix, or a core strength that the specification gives by itself",
    ),
    "required_core_strength": quantity(
        _STRENGTH,
        "Required core strength",
        "pressure",
        note="where shares are of it; no document gives it, the specification does",
    ),
    "core_average": ratio(_STRENGTH, "Mean of the set, share", required=True),
    "set_mean_met": choice(
        _STRENGTH,
        "Mean of the set is to be",
        words.AT_LEAST,
        words.MORE_THAN,
        required=True,
        note="exactly on its share it meets the first and not the second",
    ),
    "core_single": ratio(_STRENGTH, "Each core, share", required=True),
    "core_three_mean": ratio(
        _STRENGTH, "Mean of three consecutive panels of a mix, share", note=_IF_ASKED
    ),
    "cube_average": ratio(
        _STRENGTH, "Mean of a set of cubes, share", note="never mixed with cores"
    ),
    "cube_single": ratio(_STRENGTH, "Each cube, share"),
    "core_rounding": choice(
        _STRENGTH,
        "Shares are compared",
        words.STRICT,
        words.ROUNDED,
        required=True,
        note="strict: unrounded; rounded: to whole percent. Both are shown where "
        "they differ",
    ),
}
