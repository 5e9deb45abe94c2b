"""The editions there are, by key."""

from __future__ import annotations

from collections.abc import Mapping

from project.domain.editions.aci import ACI_318_19, ACI_506_2_13
from project.domain.editions.ibc import IBC_2009, IBC_2015, IBC_2018
from project.domain.editions.metric import METRIC
from project.domain.editions.public import (
    FHWA_1998,
    UFGS_03371,
    UFGS_03371_METRIC,
)
from project.domain.editions.shapes import Edition

EDITIONS: Mapping[str, Edition] = {
    edition.key: edition
    for edition in (
        IBC_2018,
        IBC_2015,
        IBC_2009,
        ACI_318_19,
        ACI_506_2_13,
        UFGS_03371,
        UFGS_03371_METRIC,
        FHWA_1998,
        METRIC,
    )
}


def edition_of(key: str) -> Edition:
    """Return a requirement set by its key. Raises ValueError for an unknown one.

    Source: this module's table.

    >>> edition_of("ibc-2018-1908").name
    'IBC 2018 s.1908'
    """
    try:
        return EDITIONS[key]
    except KeyError:
        allowed = ", ".join(EDITIONS)
        raise ValueError(f"edition {key!r}: allowed are {allowed}") from None
