"""The words a named setting may have; rules compare with these, never with text."""

from __future__ import annotations

WORK_DATE, SHIFT = "work date", "shift"
PER_MIX, PER_OPERATOR = "mix", "mix and operator"
GLOBAL, PER_CELL = "global", "per cell"
DELIVERED, PUMPED = "delivered and accepted", "pumped"
IN_PLACE, NEAT = "in place", "neat"
AS_THE_WORK = "as the work"
IN_LABORATORY = "moist in the laboratory after cover in the field"

PSI, MPA = "psi", "MPa"
OF_F_C, OF_REQUIRED = "f_c", "required core strength"
STRICT, ROUNDED = "strict", "rounded"
AT_LEAST, MORE_THAN = "at least", "more than"
LD_175, LD_194 = "1.75 or less", "under 1.94"
SOAKED, SEALED, AS_RECEIVED = "soaked", "sealed", "as received"

UNLESS_UNCHANGED = "unless the engineer marks it unchanged"
EACH_REVISION, NO_REVISION = "each revision", "no revision"
TAKES_BACK, FROM_ITS_DAY = "takes back what went before", "from its own day"
NO_PARTS, MARKED_PARTS = "no part", "parts marked for it"

EDITION_CLEARANCE, MOCK_UP_CLEARANCE = "as the edition says", "as the mock-up showed"
CLEAR, CENTRE = "clear spacing", "centre spacing"
LEAST_ALONE, LEAST_AND_DIAMETERS = "least alone", "least and diameters"
LAP_2_IN, LAP_3_DIAMETERS = "2 in", "3 bar diameters"
LAP_LEAST_OF_THREE, LAP_GREATEST_OF_THREE = "least of three", "greatest of three"
LAP_6_DIAMETERS = "6 bar diameters or 2.5 in"

MEAN_NOT_BELOW, MEAN_NOT_ASKED = "not below design", "not asked"

US_FORM, EXACT_METRIC, ROUNDED_METRIC = "US", "exact metric", "rounded metric"

PAUSE_NOT_COUNTED = "the pause is not counted"
PAUSE_BEGINS_AGAIN = "the count begins again"
PAUSE_UP_TO = "as continuous up to"

AGENCY = "inspection agency"
