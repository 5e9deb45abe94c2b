"""Forms of deficiencies and nonconformance reports, and of each move on them."""

from __future__ import annotations

from itertools import groupby
from typing import Any

from django import forms
from django.utils.translation import gettext_lazy

from crews.forms.fields import PickField
from inspections.domain.catalogue import Edition, Severity
from inspections.forms.fields import EntryForm, FigureField
from inspections.forms.words import MEANS, SEVERITIES
from inspections.queries.catalogue import edition
from project.forms.fields import LocalDateTimeField

_WORDS: dict[str, Any] = {
    "widget": forms.Textarea(attrs={"rows": 3}),
    "max_length": 2000,
}


def _items(version: Edition) -> list[tuple[str, list[tuple[str, str]]]]:
    """Return the catalogue's items under their phases, for a list to choose from."""
    return [
        (
            version.phases[phase].en,
            [(item.key, item.title.en) for item in items],
        )
        for phase, items in groupby(version.items, key=lambda item: item.phase)
    ]


class DeficiencyForm(EntryForm):
    """Something that was not right, seen outside a walk."""

    ROWS = (
        ("item", "seen_at"),
        ("part", "place"),
        ("words",),
        ("severity", "cause", "volume_removed"),
    )

    item = forms.ChoiceField(label=gettext_lazy("What was not right"))
    seen_at = LocalDateTimeField(label=gettext_lazy("Seen at"))
    part = PickField(label=gettext_lazy("Part"), required=False)
    place = forms.CharField(label=gettext_lazy("Place"), max_length=80, required=False)
    words = forms.CharField(label=gettext_lazy("In words"), **_WORDS)
    severity = forms.TypedChoiceField(
        label=gettext_lazy("Asks for"),
        required=False,
        choices=[
            ("", gettext_lazy("what the catalogue says")),
            *SEVERITIES.items(),
        ],
        coerce=Severity,
        empty_value=None,
    )
    cause = forms.CharField(label=gettext_lazy("Cause"), max_length=120, required=False)
    volume_removed = FigureField("volume", gettext_lazy("Volume taken out"))

    def __init__(self, *args: Any, **kwargs: Any) -> None:
        super().__init__(*args, **kwargs)
        field = self.fields["item"]
        assert isinstance(field, forms.ChoiceField)  # noqa: S101 declared so above
        field.choices = [("", gettext_lazy("choose")), *_items(edition())]


class MoveForm(EntryForm):
    """One move on a deficiency or a report: when, and what is said with it.

    `after` is how many moves the page showed; whoever comes second is told.
    """

    after = forms.IntegerField(widget=forms.HiddenInput, min_value=0)
    at = LocalDateTimeField(label=gettext_lazy("At"))

    def evidence(self) -> dict[str, str]:
        """Return what the move asks for beside words."""
        return {}


class WordsMoveForm(MoveForm):
    """A move that is said in words."""

    words = forms.CharField(label=gettext_lazy("In words"), **_WORDS)


class FoundRightForm(MoveForm):
    """Looked at again, and it is right now."""

    words = forms.CharField(
        label=gettext_lazy("What was seen"), required=False, **_WORDS
    )


class CorrectForm(WordsMoveForm):
    """What was done, and by whom."""

    corrected_by = forms.CharField(label=gettext_lazy("Corrected by"), max_length=120)

    def evidence(self) -> dict[str, str]:
        return {"corrected_by": self.cleaned_data["corrected_by"]}


class NotifyForm(MoveForm):
    """Who was told, and how."""

    field_order = ("id", "after", "told", "means", "at", "words")

    told = forms.CharField(label=gettext_lazy("Who was told"), max_length=120)
    means = forms.ChoiceField(
        label=gettext_lazy("How"), choices=[(str(m), m) for m in MEANS]
    )
    words = forms.CharField(label=gettext_lazy("In words"), required=False, **_WORDS)

    def evidence(self) -> dict[str, str]:
        return {name: self.cleaned_data[name] for name in ("told", "means")}


MOVE_FORMS: dict[str, type[MoveForm]] = {
    "correct": CorrectForm,
    "find right": FoundRightForm,
    "find still wrong": WordsMoveForm,
    "notify": NotifyForm,
    "close": WordsMoveForm,
}


class NonconformanceForm(EntryForm):
    """A report that something does not meet its requirement."""

    about = PickField(label=gettext_lazy("About"))
    requirement = forms.CharField(
        label=gettext_lazy("Requirement, and where it stands"), max_length=240
    )
    words = forms.CharField(label=gettext_lazy("What was found"), **_WORDS)
    containment = forms.CharField(
        label=gettext_lazy("What was done at once"), required=False, **_WORDS
    )
    part = PickField(label=gettext_lazy("Part"), required=False)
    observed_at = LocalDateTimeField(label=gettext_lazy("Observed at"))
    written_at = LocalDateTimeField(
        label=gettext_lazy("Written at"),
        required=False,
        help_text=gettext_lazy("Left empty: now."),
    )
