"""The form of a visual rating: which cores were seen together, and the word on them."""

from __future__ import annotations

from collections.abc import Iterable
from typing import Any

from django import forms
from django.utils.translation import gettext as _
from django.utils.translation import gettext_lazy

from crews.domain.trade_words import RatingDecision
from crews.forms.fields import OfferForm, PickField, WordField, key_of
from crews.models import Core
from project.forms.fields import LocalDateTimeField


class RatingForm(OfferForm):
    """Three or more cores of a panel, seen as a group, and what was found of them."""

    ROWS = (
        ("cores",),
        ("decision", "rated_at"),
        ("supersedes", "reason"),
        ("words",),
    )
    cores = forms.MultipleChoiceField(
        label=gettext_lazy("Cores seen together"),
        help_text=gettext_lazy("Three or more, never one."),
        widget=forms.CheckboxSelectMultiple,
        error_messages={
            "invalid_choice": gettext_lazy(
                "%(value)s is no core of this panel; allowed are those on this list."
            )
        },
    )
    decision = WordField(
        RatingDecision, label=gettext_lazy("Their faces, as a group, are")
    )
    rated_at = LocalDateTimeField(label=gettext_lazy("Seen at"))
    supersedes = PickField(
        label=gettext_lazy("This is"),
        required=False,
        nothing=gettext_lazy("a further rating"),
    )
    reason = forms.CharField(
        label=gettext_lazy("Why the rating is corrected"),
        max_length=400,
        required=False,
    )
    words = forms.CharField(
        label=gettext_lazy("What was seen"),
        max_length=2000,
        required=False,
        widget=forms.Textarea(attrs={"rows": 4}),
        help_text=gettext_lazy("Needed where they are not acceptable."),
    )

    def __init__(self, *args: Any, drilled: Iterable[Core], **kwargs: Any) -> None:
        super().__init__(*args, **kwargs)
        self.drilled = {key_of(core): core for core in drilled}
        field = self.fields["cores"]
        assert isinstance(field, forms.MultipleChoiceField)  # noqa: S101 declared so above
        field.choices = [(key, _named(core)) for key, core in self.drilled.items()]
        words = self.fields["decision"]
        assert isinstance(words, forms.ChoiceField)  # noqa: S101 declared so above
        # Nothing is chosen beforehand: the word is the engineer's.
        words.choices = [
            ("", _("choose")),
            *((d.value, d.value) for d in RatingDecision),
        ]
        earlier = self.fields["supersedes"]
        assert isinstance(earlier, PickField)  # noqa: S101 declared so above
        if not earlier.rows:
            del self.fields["supersedes"], self.fields["reason"]
        self.lay_out()

    def clean_cores(self) -> list[Core]:
        """Return the cores themselves."""
        return [self.drilled[key] for key in self.cleaned_data["cores"]]

    def clean(self) -> dict[str, Any]:
        data: dict[str, Any] = super().clean() or self.cleaned_data
        if data.get("supersedes") and not data.get("reason", "").strip():
            self.add_error("reason", _("A correction needs its reason."))
        return data


def _named(core: Core) -> str:
    told = _("core %(number)s, %(age)s days") % {
        "number": core.number,
        "age": core.planned_age_days,
    }
    return f"{told}, {core.grid}" if core.grid else told
