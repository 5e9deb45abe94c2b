"""How Django finds the app."""

from __future__ import annotations

from django.apps import AppConfig


class InspectionsConfig(AppConfig):
    """Daily reports, rounds, deficiencies and packets."""

    name = "inspections"
    verbose_name = "Inspections"
