"""Forms of planned work: what is meant to be shot, when, and who is assigned to it."""

from __future__ import annotations

from collections.abc import Iterator
from typing import Any

from django import forms
from django.utils.translation import gettext_lazy

from crews.domain.trade_words import Method
from crews.forms.fields import LookForm, OfferForm, PickField, WordField
from project.forms.fields import LocalDateTimeField

# How many operators one form asks for; more are assigned on the plan's own page.
PEOPLE = (1, 2, 3)


def _operator(**kwargs: Any) -> PickField:
    return PickField(label=gettext_lazy("Operator"), **kwargs)


def _supervisor() -> PickField:
    return PickField(
        label=gettext_lazy("Supervisor, under a condition"),
        required=False,
        nothing=gettext_lazy("nobody"),
    )


class PlanForm(OfferForm):
    """What is meant to be shot: part, mix, start, rig, and up to three operators."""

    ROWS = (
        ("part", "mix"),
        ("starts_at", "rig", "method"),
        *((f"operator_{n}", f"supervisor_{n}") for n in PEOPLE),
    )
    part = PickField(label=gettext_lazy("Part"))
    mix = PickField(
        label=gettext_lazy("Mix"),
        required=False,
        nothing=gettext_lazy("as planned for the part"),
    )
    starts_at = LocalDateTimeField(label=gettext_lazy("Starts"), future=True)
    rig = PickField(
        label=gettext_lazy("Rig"), required=False, nothing=gettext_lazy("not named yet")
    )
    method = WordField(Method, label=gettext_lazy("Nozzle carried by"))
    operator_1 = _operator(required=False, nothing=gettext_lazy("nobody yet"))
    operator_2 = _operator(required=False, nothing=gettext_lazy("nobody"))
    operator_3 = _operator(required=False, nothing=gettext_lazy("nobody"))
    supervisor_1 = _supervisor()
    supervisor_2 = _supervisor()
    supervisor_3 = _supervisor()

    def clean(self) -> dict[str, Any]:
        """Refuse a supervisor beside nobody."""
        data: dict[str, Any] = super().clean() or self.cleaned_data
        for n in PEOPLE:
            if data.get(f"supervisor_{n}") and not data.get(f"operator_{n}"):
                message = gettext_lazy("Nobody is named to be supervised.")
                self.add_error(f"supervisor_{n}", message)
        return data

    def people(self) -> Iterator[tuple[int, Any, Any]]:
        """Yield the line, the operator and the supervisor of each line that names one."""
        for n in PEOPLE:
            operator = self.cleaned_data[f"operator_{n}"]
            if operator is not None:
                yield n, operator, self.cleaned_data[f"supervisor_{n}"]


class KnownForm(LookForm):
    """The instant whose knowledge a plan is read with: its own start is the other one."""

    at = None  # type: ignore[assignment]


class AssignForm(OfferForm):
    """Who is assigned to planned work, and who is to stand beside them."""

    operator = _operator()
    supervisor = _supervisor()


class MovePlanForm(OfferForm):
    """When and with what planned work is to be shot instead, and why."""

    ROWS = (("starts_at", "mix"), ("rig", "method"), ("reason",))
    starts_at = LocalDateTimeField(label=gettext_lazy("Starts"), future=True)
    mix = PickField(label=gettext_lazy("Mix"))
    rig = PickField(
        label=gettext_lazy("Rig"), required=False, nothing=gettext_lazy("not named yet")
    )
    method = WordField(Method, label=gettext_lazy("Nozzle carried by"))
    reason = forms.CharField(label=gettext_lazy("Why"), max_length=400)
