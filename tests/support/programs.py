"""Debian's programs that the tests call. Only the standard library: tests/run reads it."""

from __future__ import annotations

import shutil

# program -> the package that brings it; the server has its own place, see cluster.py
PACKAGES = {
    "chromium": "chromium",
    "qpdf": "qpdf",
    "pdftoppm": "poppler-utils",
    "pdftotext": "poppler-utils",
    "msgfmt": "gettext",
    "zbarimg": "zbar-tools",
}


def missing() -> dict[str, str]:
    """Return the programs that are not here, with the package of each."""
    return {name: pkg for name, pkg in PACKAGES.items() if not shutil.which(name)}
