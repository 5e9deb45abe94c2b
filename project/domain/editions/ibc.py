"""The shotcrete section of the International Building Code, printing by printing.

Read: 2009, s.1913.10 (printed by a state as 780 CMR 1913.10); 2018, s.1908.1 to
1908.8 in part and table 1705.3. Of 2015 only the section's number was read. All
other values are from memory.
"""

from __future__ import annotations

from collections.abc import Mapping

from project.domain.editions.shapes import (
    C42,
    C1604,
    OF_OURS,
    PROJECT,
    Edition,
    in_full,
    number,
    word,
)
from project.domain.term_kinds import (
    AS_THE_WORK,
    AT_LEAST,
    EDITION_CLEARANCE,
    LAP_2_IN,
    LD_175,
    LEAST_ALONE,
    OF_F_C,
    PAUSE_BEGINS_AGAIN,
    PER_MIX,
    SHIFT,
    SOAKED,
)
from project.domain.terms import TermValue
from project.domain.verdict import Known, Source

# First printing with a number -> the number of its shotcrete section.
_SECTIONS = ((2000, "1914"), (2009, "1913"), (2012, "1910"), (2015, "1908"))
_PRINTED_EVERY = 3
_INTO_ACI_318 = 2021
_SECTIONS_READ = (2009, 2015, 2018)

# Term -> its value, its unit where it is a number, and the part of the section.
_WORDS: Mapping[str, tuple[str | bool, str]] = {
    "panel_period": (SHIFT, ".10.1"),
    "panel_position": (True, ".10.2"),
    "panel_curing": (AS_THE_WORK, ".10.2"),
    "conditioning": (SOAKED, ".10"),
    "strength_basis": (OF_F_C, ".10.3"),
    "set_mean_met": (AT_LEAST, ".10.3"),
    "bar_clearance": (EDITION_CLEARANCE, ".4.2"),
    "largest_bar": ("No. 5", ".4.1"),
    "clear_small_bars": (LEAST_ALONE, ".4.2"),
    "lap_rule": (LAP_2_IN, ".4.3"),
}
_NUMBERS: Mapping[str, tuple[str, str | None, str]] = {
    "panel_volume": ("50", "yd3", ".10.1"),
    "panel_side_least": ("18", "in", ".10.2"),
    "panel_side_least_fine": ("12", "in", ".10.2"),
    "fine_aggregate_most": ("0.375", "in", ".10.2"),
    "core_count": ("3", None, ".10"),
    "core_average": ("0.85", None, ".10.3"),
    "core_single": ("0.75", None, ".10.3"),
    "cube_average": ("1.00", None, ".10.3"),
    "cube_single": ("0.88", None, ".10.3"),
    "largest_aggregate": ("0.75", "in", ".3"),
    "clear_least": ("2.5", "in", ".4.2"),
    "clear_diameters": ("6", None, ".4.2"),
    "clear_nearer_diameters": ("12", None, ".4.2"),
    "restart_gap": ("30", "min", ".7"),
    "moist_first": ("24", "h", ".9"),
    "moist_total": ("7", "d", ".9"),
    "moist_total_high_early": ("3", "d", ".9"),
    "protection": ("7", "d", ".9, through the curing"),
    "protection_above": ("40", "F", ".9, through the curing"),
}

_READ_2009 = (
    "panel_period",
    "panel_position",
    "panel_volume",
    "panel_side_least",
    "panel_side_least_fine",
    "fine_aggregate_most",
    "panel_curing",
    "core_count",
    "conditioning",
    "strength_basis",
    "core_average",
    "set_mean_met",
    "core_single",
    "cube_average",
    "cube_single",
)
_READ_2018 = (
    "largest_bar",
    "largest_aggregate",
    "clear_least",
    "clear_small_bars",
    "restart_gap",
)


def ibc_section(year: int) -> Source:
    """Return where a printing of the IBC has its shotcrete, or who has it since.

    Parameters
    ----------
    year
        Of a printing [year]: 2000, then every third one.

    Raises ValueError for a year without a printing. Source: IBC 2009, 2015 and 2018
    (read), the others from memory; from 2021 the code leaves shotcrete to ACI 318.

    >>> str(ibc_section(2012)), str(ibc_section(2018))
    ('IBC 2012, 1910 (from memory)', 'IBC 2018, 1908 (read)')
    >>> ibc_section(2010)
    Traceback (most recent call last):
    ValueError: year 2010: no printing of the IBC; allowed are 2000, 2003 and every
        third year
    """
    first = _SECTIONS[0][0]
    if year < first or (year - first) % _PRINTED_EVERY:
        allowed = f"{first}, {first + _PRINTED_EVERY} and every third year"
        raise ValueError(f"year {year}: no printing of the IBC; allowed are {allowed}")
    if year >= _INTO_ACI_318:
        return Source("IBC", "shotcrete by ACI 318, chapter 26", str(year))
    section = [number for since, number in _SECTIONS if since <= year][-1]
    known = Known.READ if year in _SECTIONS_READ else Known.MEMORY
    return Source("IBC", section, str(year), known)


def _ibc(
    key: str, year: int, *, read: tuple[str, ...], inspection: Source, also: str = ""
) -> Edition:
    section = ibc_section(year).section

    def source(name: str, part: str) -> Source:
        known = Known.READ if name in read else Known.MEMORY
        return Source("IBC", section + part, str(year), known)

    said = {
        name: word(value, source(name, part)) for name, (value, part) in _WORDS.items()
    }
    for name, (value, unit, part) in _NUMBERS.items():
        said[name] = number(value, source(name, part), unit)
    values: dict[str, TermValue] = {
        **OF_OURS,
        # The code counts shifts; a specimen of one mixture says nothing of another.
        "panel_per": word(PER_MIX, PROJECT),
        "ld_limit": word(LD_175, C42),
        "core_diameter_least": number("3.0", C1604, "in"),
        # "Kept continuously moist" is silent on a pause.
        "curing_pause": word(PAUSE_BEGINS_AGAIN, PROJECT),
        "continuous_inspection": word(True, inspection),
        **said,
    }
    silent = Source("IBC", f"{section} gives no value", str(year))
    name = f"IBC {year} s.{section}{also}"
    return Edition(key, name, in_full(values, silent=silent))


IBC_2009 = _ibc(
    "ibc-2009-1913",
    2009,
    read=_READ_2009,
    inspection=Source("IBC", "table 1704.4", "2009"),
    also=" (780 CMR 1913)",
)
IBC_2015 = _ibc(
    "ibc-2015-1908",
    2015,
    read=(),
    inspection=Source("IBC", "table 1705.3", "2015"),
)
IBC_2018 = _ibc(
    "ibc-2018-1908",
    2018,
    read=_READ_2018,
    inspection=Source("IBC", "table 1705.3, item 7", "2018", Known.READ),
)
