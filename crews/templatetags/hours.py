"""How nozzle time is written on a page."""

from __future__ import annotations

from django import template

from crews.domain.hours import clock_text

register = template.Library()

# {{ line.minutes|clock }}: hours and minutes, 19:05.
register.filter("clock", clock_text)
