"""Specifications of public owners: UFGS 03371 and the FHWA's of 1998 for soil nails.

UFGS 03371 (the older number of 03 37 13) was read, sections 1.7 and 1.8 by number
and the rest by its words; it prints inch-pound and metric values side by side, and
they are not the same limits, so each is an edition. The FHWA's was read as another
text quotes it.
"""

from __future__ import annotations

from collections.abc import Mapping

from project.domain.editions.shapes import (
    C42,
    OF_OURS,
    PROJECT,
    Edition,
    in_full,
    number,
    word,
)
from project.domain.term_kinds import (
    AT_LEAST,
    LD_175,
    LD_194,
    MORE_THAN,
    MPA,
    OF_F_C,
    OF_REQUIRED,
    PAUSE_BEGINS_AGAIN,
    PER_MIX,
    PER_OPERATOR,
    SHIFT,
    WORK_DATE,
)
from project.domain.terms import TermValue
from project.domain.verdict import Known, Source

_YEARS = "about 2001 to 2006"


def _ufgs(what: str) -> Source:
    return Source("UFGS 03371", what, _YEARS, Known.READ)


_RESULTS = _ufgs("strength results")
_PRECONSTRUCTION = _ufgs("1.8, preconstruction panel")
_PLACING = _ufgs("placing, temperature")
_CURING = _ufgs("curing")
_UFGS_SILENT = Source("UFGS 03371", "gives no value that is known here", _YEARS)

_UFGS: Mapping[str, TermValue] = {
    **OF_OURS,
    "panel_period": word(SHIFT, _RESULTS),
    # It counts shifts; a specimen of one mixture says nothing of another.
    "panel_per": word(PER_MIX, PROJECT),
    "panel_volume": number("50", _RESULTS, "yd3"),
    "panel_depth_least": number("4", _PRECONSTRUCTION, "in"),
    "core_diameter_least": number("3", _PRECONSTRUCTION, "in"),
    "ld_limit": word(LD_194, _ufgs("correction of cores")),
    "strength_basis": word(OF_REQUIRED, _RESULTS),
    "core_average": number("1.00", _RESULTS),
    "set_mean_met": word(AT_LEAST, _RESULTS),
    "core_single": number("0.85", _RESULTS),
    "air_low": number("40", _PLACING, "F"),
    "moist_first": number("3", _CURING, "d"),
    "moist_total": number("7", _CURING, "d"),
    "curing_pause": word(PAUSE_BEGINS_AGAIN, PROJECT),
    "protection": number("3", _PLACING, "d"),
    "protection_above": number("40", _PLACING, "F"),
}

UFGS_03371 = Edition(
    "ufgs-03371", "UFGS 03371, inch-pound", in_full(_UFGS, silent=_UFGS_SILENT)
)
UFGS_03371_METRIC = Edition(
    "ufgs-03371-metric",
    "UFGS 03371, metric",
    in_full(
        {
            **_UFGS,
            "panel_volume": number("40", _RESULTS, "m3"),
            "panel_depth_least": number("100", _PRECONSTRUCTION, "mm"),
            "core_diameter_least": number("75", _PRECONSTRUCTION, "mm"),
            "strength_unit": word(MPA, PROJECT),
            "air_low": number("5", _PLACING, "C"),
            "protection_above": number("5", _PLACING, "C"),
        },
        silent=_UFGS_SILENT,
    ),
)


def _fhwa(what: str, known: Known = Known.READ) -> Source:
    return Source("FHWA soil nail specification", what, "1998", known)


_PANEL_CORES = _fhwa("appendix C 2.2.3, as quoted")
_SHARES = _fhwa("acceptance, as quoted: more than 85 %, none below 75 %")
_OUTER = _fhwa("outer 6 in of a panel", Known.MEMORY)

FHWA_1998 = Edition(
    "fhwa-1998-soil-nail",
    "FHWA 1998, soil nail walls",
    in_full(
        {
            **OF_OURS,
            # It says each batch and each operator; a batch is no period of this book.
            "panel_period": word(WORK_DATE, PROJECT),
            "panel_per": word(PER_OPERATOR, _SHARES),
            "core_count": number("3", _PANEL_CORES),
            "core_age": number("28", _PANEL_CORES, "d"),
            "early_core_count": number("3", _PANEL_CORES),
            "early_core_age": number("3", _PANEL_CORES, "d"),
            "core_diameter_least": number("3", _PANEL_CORES, "in"),
            "edge_zone_depths": number("0", _OUTER),
            "edge_zone_add": number("6", _OUTER, "in"),
            # It names AASHTO T 24, whose limit is taken to be that of ASTM C42.
            "ld_limit": word(LD_175, C42),
            "strength_basis": word(OF_F_C, _SHARES),
            "core_average": number("0.85", _SHARES),
            "set_mean_met": word(MORE_THAN, _SHARES),
            "core_single": number("0.75", _SHARES),
        },
        silent=_fhwa("gives no value that is known here", Known.MEMORY),
    ),
)
