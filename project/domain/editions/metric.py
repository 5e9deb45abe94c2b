"""A set for metric contracts that gives no value and asks for each that must be."""

from __future__ import annotations

from project.domain.editions.shapes import Edition, in_full
from project.domain.verdict import Known, Source

# Documents in metric units differ too much from country to country, and too little
# of them was read: every value that must be is asked of the contract.
METRIC = Edition(
    "metric",
    "Metric: every value as the contract gives it",
    in_full({}, silent=Source("metric set", "asks the contract", known=Known.PROJECT)),
)
