"""The last look at who acts: a command or an inner call meets no door in front."""

from __future__ import annotations

from django.core.exceptions import PermissionDenied

from project.domain.roles import Ability, Role, may
from project.models import Membership


def require(by: Membership, ability: Ability) -> None:
    """Refuse a member whose role does not open this door."""
    if not may(Role(by.role), ability):
        raise PermissionDenied(f"{by.role} may not {ability.value}")
