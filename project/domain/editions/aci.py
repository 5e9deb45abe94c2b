"""ACI 318-19 and ACI 506.2-13, as far as they are known.

Neither was read at first hand. Of ACI 506.2-13 the panels and the shares of f_c
were read as another text quotes them; it was reapproved in 2018 and there is no
edition of 2016. Of ACI 318-19 every value is from memory.
"""

from __future__ import annotations

from project.domain.editions.shapes import (
    C42,
    C1140_EDGE,
    C1604,
    C1604_MOIST,
    OF_OURS,
    Edition,
    in_full,
    number,
    word,
)
from project.domain.term_kinds import (
    AT_LEAST,
    EDITION_CLEARANCE,
    GLOBAL,
    LAP_6_DIAMETERS,
    LAP_LEAST_OF_THREE,
    LD_175,
    LEAST_AND_DIAMETERS,
    OF_F_C,
    PER_OPERATOR,
    SEALED,
    WORK_DATE,
)
from project.domain.verdict import Known, Source


def _318(section: str) -> Source:
    return Source("ACI 318", section, "2019")


def _506(what: str) -> Source:
    return Source("ACI 506.2", f"{what}, as quoted", "2013", Known.READ)


_ACCEPTANCE = _318("26.12.4")
_SPACING = _318("25.2.7 to 25.2.10")
_FREQUENCY = _506("frequency of test panels")
_WHICHEVER = Source(
    "ACI 506.2",
    "frequency of test panels, 'whichever' over all who shot",
    "2013",
    Known.PROJECT,
)
_MATERIAL_PANEL = _506("material panel")
_CORES = _506("acceptance of cores")
# Its word is "least"; a misprint for "greatest" is possible, the term offers both.
_LAPS = Source(
    "ACI 506.2", "lap gap, as paraphrased; 'least' may be a misprint", "", Known.READ
)

ACI_318_19 = Edition(
    "aci-318-2019",
    "ACI 318-19 s.26.12",
    in_full(
        {
            **OF_OURS,
            "panel_period": word(WORK_DATE, _318("26.12.2")),
            "panel_per": word(PER_OPERATOR, _318("26.12.2")),
            "panel_position": word(True, _ACCEPTANCE),
            "panel_volume": number("50", _318("26.12.2"), "yd3"),
            "panel_side_least": number(
                "24", _318("26.12.4, panel by ASTM C1140-11"), "in"
            ),
            "panel_depth_least": number(
                "3.5", _318("26.12.4, panel by ASTM C1140-11"), "in"
            ),
            "core_count": number("3", _ACCEPTANCE),
            "conditioning": word(SEALED, C1604_MOIST),
            "core_diameter_least": number("3.0", C1604, "in"),
            "edge_zone_depths": number("1", C1140_EDGE),
            "edge_zone_add": number("1", C1140_EDGE, "in"),
            "ld_limit": word(LD_175, C42),
            "strength_basis": word(OF_F_C, _ACCEPTANCE),
            "core_average": number("0.85", _ACCEPTANCE),
            "set_mean_met": word(AT_LEAST, _ACCEPTANCE),
            "core_single": number("0.75", _ACCEPTANCE),
            "core_three_mean": number("1.00", _ACCEPTANCE),
            "bar_clearance": word(EDITION_CLEARANCE, _SPACING),
            "clear_least": number("2.5", _SPACING, "in"),
            "clear_diameters": number("6", _SPACING),
            "clear_nearer_diameters": number("12", _SPACING),
            "clear_small_bars": word(LEAST_AND_DIAMETERS, _SPACING),
            "lap_rule": word(LAP_6_DIAMETERS, _318("25.5.1.6 to 25.5.1.7")),
        },
        silent=_318("gives no value that is known here"),
    ),
)

# One panel for each mixture, operator and work day, or for each 50 yd3, whichever
# gives the most; "whichever" taken over all who shot the mixture. Material panels are
# vertical unless the contract says otherwise, so position is not counted.
PANELS_OF_506_2 = (
    "panel_period",
    "panel_per",
    "panel_position",
    "panel_volume",
    "panel_count",
)

ACI_506_2_13 = Edition(
    "aci-506.2-2013",
    "ACI 506.2-13",
    in_full(
        {
            **OF_OURS,
            "panel_period": word(WORK_DATE, _FREQUENCY),
            "panel_per": word(PER_OPERATOR, _FREQUENCY),
            "panel_position": word(False, _FREQUENCY),
            "panel_volume": number("50", _FREQUENCY, "yd3"),
            "panel_count": word(GLOBAL, _WHICHEVER),
            "panel_side_least": number("16", _MATERIAL_PANEL, "in"),
            "panel_depth_least": number("5", _MATERIAL_PANEL, "in"),
            "core_count": number("3", _CORES),
            "core_diameter_least": number("3.0", C1604, "in"),
            "edge_zone_depths": number("1", C1140_EDGE),
            "edge_zone_add": number("1", C1140_EDGE, "in"),
            "ld_limit": word(LD_175, C42),
            "strength_basis": word(OF_F_C, _CORES),
            "core_average": number("0.85", _CORES),
            "set_mean_met": word(AT_LEAST, _CORES),
            "core_single": number("0.75", _CORES),
            "lap_rule": word(LAP_LEAST_OF_THREE, _LAPS),
        },
        silent=Source("ACI 506.2", "gives no value that is known here", "2013"),
    ),
)
