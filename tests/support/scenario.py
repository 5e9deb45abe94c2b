"""The demo job's facts as plain data, read once for the tests that compare with them."""

import json
from pathlib import Path

import inspections

FILE = Path(inspections.__file__).parent / "management" / "demo" / "scenario.json"
SCENARIO = json.loads(FILE.read_text(encoding="utf-8"))

# Conclusions drawn from the same facts by another reading of the rules.
_EXPECTED = Path(__file__).resolve().parent.parent / "tables" / "expected.json"
EXPECTED = json.loads(_EXPECTED.read_text(encoding="utf-8"))
