#!/usr/bin/env python
"""Run one of the project's commands."""

from __future__ import annotations

import os
import sys

from django.core.exceptions import ImproperlyConfigured
from django.core.management import execute_from_command_line


def main() -> None:
    """Read the settings first, so that a bad one is said plainly, then run."""
    os.environ.setdefault("DJANGO_SETTINGS_MODULE", "project.settings")
    try:
        import project.settings  # noqa: F401
    except ImproperlyConfigured as error:
        sys.exit(f"Not started: {error}")
    execute_from_command_line(sys.argv)


if __name__ == "__main__":
    main()
