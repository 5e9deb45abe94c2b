"""The map of pages. Each app keeps its own; this one only joins them."""

from __future__ import annotations

from django.urls import URLPattern, URLResolver

urlpatterns: list[URLPattern | URLResolver] = []
