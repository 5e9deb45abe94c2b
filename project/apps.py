"""How Django finds the app."""

from __future__ import annotations

from typing import Any

from django.apps import AppConfig
from django.core.checks import Tags, register
from django.db import connections
from django.db.models.signals import post_migrate


class ProjectConfig(AppConfig):
    """The shared kernel: who, which job, terms, parts, mixes, access, audit."""

    name = "project"
    verbose_name = "Project"

    def ready(self) -> None:
        """Guard the written-once tables after each migration, and check the guard."""
        from project.audit import write_once

        def guard(using: str, **_: Any) -> None:
            write_once.install(connections[using])

        # The one signal of the house: SQLite drops a table's triggers whenever a
        # migration rebuilds it. It comes once each app has migrated, so one app's is
        # enough. The strong reference keeps the receiver alive.
        post_migrate.connect(guard, sender=self, weak=False, dispatch_uid="write once")
        register(write_once.check_triggers, Tags.database)
