"""How Django finds the app."""

from __future__ import annotations

from django.apps import AppConfig


class CrewsConfig(AppConfig):
    """Operators, crews, panels and cores."""

    name = "crews"
    verbose_name = "Crews"
