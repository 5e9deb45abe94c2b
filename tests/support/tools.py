"""Debian's programs that some tests ask for a second opinion."""

from __future__ import annotations

import os
import shutil

import pytest

from tests.support.programs import PACKAGES


def need_program(name: str) -> str:
    """Return the program's path; without it the test is not run, and says so.

    With CI set a test that is not run is a failure: nobody reads a skip there.
    """
    found = shutil.which(name)
    if found:
        return found
    reason = f"no {name} here: apt-get install {PACKAGES[name]}"
    if os.environ.get("CI"):
        pytest.fail(reason)
    pytest.skip(reason)
