"""Since when, and as known when, affected work is asked for."""

from __future__ import annotations

from typing import Any

from django import forms
from django.core.exceptions import ValidationError
from django.utils.translation import gettext as _
from django.utils.translation import gettext_lazy

from project.forms.fields import LocalDateTimeField
from project.models import Job

FORMATS = ["%Y-%m-%dT%H:%M", "%Y-%m-%d %H:%M", "%Y-%m-%d"]


class SinceForm(forms.Form):
    """The stretch of time in which something was learned."""

    since = LocalDateTimeField(
        label=gettext_lazy("Learned since"),
        required=False,
        input_formats=FORMATS,
    )
    until = LocalDateTimeField(
        label=gettext_lazy("As known at"),
        required=False,
        input_formats=FORMATS,
    )
    fact = forms.UUIDField(required=False, widget=forms.HiddenInput)

    def __init__(self, *args: Any, job: Job, **kwargs: Any) -> None:
        super().__init__(*args, **kwargs)
        self.fields["fact"].error_messages["invalid"] = _(
            "This names no record; allowed is the address that a page links to."
        )
        for field in self.fields.values():
            if isinstance(field, LocalDateTimeField):
                field.zone = job.zone
        self.job = job

    def clean(self) -> dict[str, Any] | None:
        """Refuse a stretch that ends before it begins."""
        data = super().clean() or self.cleaned_data
        since, until = data.get("since"), data.get("until")
        if since and until and until <= since:
            message = _("As known at %(until)s; allowed is later than %(since)s.")
            told = {
                name: self.job.local(data[name]).strftime("%Y-%m-%d %H:%M")
                for name in ("since", "until")
            }
            self.add_error("until", ValidationError(message, params=told))
        return data
