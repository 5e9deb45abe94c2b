"""Reviewed requirement sets, and a contract's terms resolved from one of them.

An edition is a set of values with their sources, changed only by review. A
contract starts from one and departs from it by name, with a reason; the result
is resolved in full, so that a later edit here never moves a job's terms. What was
read and what is from memory stands with each value, and at the head of each family.
"""

from project.domain.editions.aci import ACI_318_19, ACI_506_2_13
from project.domain.editions.comparing import Difference, differences
from project.domain.editions.ibc import IBC_2009, IBC_2015, IBC_2018, ibc_section
from project.domain.editions.metric import METRIC
from project.domain.editions.public import (
    FHWA_1998,
    UFGS_03371,
    UFGS_03371_METRIC,
)
from project.domain.editions.resolving import (
    Departure,
    aci_506_2_13_panels,
    check_wanted,
    depart,
    departing,
    own_terms,
    resolve,
    to_be_given,
)
from project.domain.editions.shapes import CONTRACT, PRACTICE, PROJECT, Edition
from project.domain.editions.stored import from_plain, to_plain
from project.domain.editions.table import EDITIONS, edition_of

__all__ = [
    "ACI_318_19",
    "ACI_506_2_13",
    "CONTRACT",
    "EDITIONS",
    "FHWA_1998",
    "IBC_2009",
    "IBC_2015",
    "IBC_2018",
    "METRIC",
    "PRACTICE",
    "PROJECT",
    "UFGS_03371",
    "UFGS_03371_METRIC",
    "Departure",
    "Difference",
    "Edition",
    "aci_506_2_13_panels",
    "check_wanted",
    "depart",
    "departing",
    "differences",
    "edition_of",
    "from_plain",
    "ibc_section",
    "own_terms",
    "resolve",
    "to_be_given",
    "to_plain",
]
