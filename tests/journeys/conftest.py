"""The expected answers of the demo job, and its clock."""

from __future__ import annotations

import json
from datetime import datetime
from decimal import Decimal
from pathlib import Path
from typing import Any

from tests.support.demo import SCENARIO

WANTED: dict[str, Any] = json.loads(
    (Path(__file__).parents[1] / "tables" / "expected.json").read_text("utf-8"),
    parse_float=Decimal,
)


def at(text: str) -> datetime:
    """Return an instant that the expected answers give in local time."""
    return SCENARIO.at(text)
