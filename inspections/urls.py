"""The pages of what was seen: today, days, sheets, deficiencies, packets."""

from __future__ import annotations

from django.urls import path

from inspections.views import days, deficiencies, nozzle, packets, today

urlpatterns = [
    path("", today.today, name="today"),
    path("days/", days.days, name="days"),
    path("deficiencies/", deficiencies.deficiencies, name="deficiencies"),
    path("packets/", packets.packets, name="packets"),
    path("placements/<str:code>/take/", nozzle.take_nozzle, name="take_nozzle"),
]
