"""How Django finds the app."""

from __future__ import annotations

from django.apps import AppConfig


class ProjectConfig(AppConfig):
    """The shared kernel: who, which job, terms, parts, mixes, access, audit."""

    name = "project"
    verbose_name = "Project"
