"""Calculations of this app that say what they take; see `project.domain.calculation`."""
