"""Forms of signing, reviewing and of clearing a flag."""

from __future__ import annotations

from typing import Any

from django import forms
from django.core.exceptions import ValidationError
from django.utils.translation import gettext as _
from django.utils.translation import gettext_lazy

from inspections.forms.fields import EntryForm
from inspections.forms.words import MEANINGS, REVIEW_MEANING
from project.forms.fields import PasswordField, SheetForm

_CONFORMING = (
    ("yes", gettext_lazy("What was looked at conforms to the contract documents")),
    ("no", gettext_lazy("Not everything conforms")),
)


class _Hand(EntryForm):
    """A name, and the password again."""

    printed_name = forms.CharField(label=gettext_lazy("Printed name"), max_length=120)
    password = PasswordField()


class SignForm(_Hand):
    """Sign a sheet as it was read: its hash says which reading that was."""

    field_order = (
        *("id", "content_sha256", "conforming", "statement"),
        *("printed_name", "meaning", "password"),
    )

    content_sha256 = forms.CharField(widget=forms.HiddenInput)
    conforming = forms.TypedChoiceField(
        label=gettext_lazy("Statement"),
        choices=_CONFORMING,
        coerce=lambda given: given == "yes",
        widget=forms.RadioSelect,
    )
    statement = forms.CharField(
        label=gettext_lazy("What does not conform, and what is left open"),
        max_length=1000,
        required=False,
        widget=forms.Textarea(attrs={"rows": 2}),
    )
    meaning = forms.ChoiceField(
        label=gettext_lazy("What your signature means"),
        choices=[(str(words), words) for words in MEANINGS],
        widget=forms.RadioSelect,
    )

    def clean(self) -> dict[str, Any]:
        data: dict[str, Any] = super().clean() or self.cleaned_data
        said = data.get("statement", "").strip()
        if data.get("conforming") is False and not said:
            message = _("Nothing is written; what does not conform is said in words.")
            self.add_error("statement", ValidationError(message))
        if data.get("conforming") and not said:
            data["statement"] = str(dict(_CONFORMING)["yes"])
        return data


class ReviewForm(_Hand):
    """Review a signed sheet that another person wrote."""

    field_order = ("id", "words", "printed_name", "meaning", "password")

    words = forms.CharField(
        label=gettext_lazy("Remarks of the review"),
        max_length=1000,
        required=False,
        widget=forms.Textarea(attrs={"rows": 2}),
    )
    meaning = forms.ChoiceField(
        label=gettext_lazy("What your signature means"),
        choices=[(str(REVIEW_MEANING), REVIEW_MEANING)],
        widget=forms.RadioSelect,
    )


class ClearFlagForm(SheetForm):
    """What was found behind a contradiction."""

    mark = forms.CharField(widget=forms.HiddenInput)
    words = forms.CharField(
        label=gettext_lazy("What was found"),
        max_length=1000,
        widget=forms.Textarea(attrs={"rows": 3}),
    )
