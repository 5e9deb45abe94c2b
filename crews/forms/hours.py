"""Forms about hours on the nozzle: which days are read, and who verifies them."""

from __future__ import annotations

from typing import Any

from django import forms
from django.core.exceptions import ValidationError
from django.utils.translation import gettext as _
from django.utils.translation import gettext_lazy

from crews.forms.fields import LookForm, OfferForm
from project.forms.fields import PastDateField, PlainDateField


class HoursLookForm(LookForm):
    """Which local dates are counted, as of and as known when; an empty end is open."""

    from_on = PlainDateField(label=gettext_lazy("From"), required=False)
    to_on = PlainDateField(label=gettext_lazy("To"), required=False)

    field_order = ("from_on", "to_on", "at", "known")

    def clean_to_on(self) -> Any:
        """Refuse a last day before the first one."""
        first, last = self.cleaned_data.get("from_on"), self.cleaned_data["to_on"]
        if first and last and last < first:
            message = _("To %(last)s; allowed is %(first)s or later.")
            raise ValidationError(message, params={"first": first, "last": last})
        return last


class VerifyHoursForm(OfferForm):
    """Which days a named person verifies, and how they did."""

    ROWS = (("from_on", "to_on"), ("verified_by",), ("words",), ("reason",))

    from_on = PastDateField(label=gettext_lazy("First day"))
    to_on = PastDateField(label=gettext_lazy("Last day"))
    verified_by = forms.CharField(
        label=gettext_lazy("Verified by"),
        max_length=120,
        help_text=gettext_lazy("Name and post; nobody verifies their own hours."),
    )
    words = forms.CharField(
        label=gettext_lazy("Verified how"),
        max_length=1000,
        required=False,
        widget=forms.Textarea(attrs={"rows": 3}),
    )


class CorrectHoursForm(VerifyHoursForm):
    """The same days, or others, verified anew."""

    reason = forms.CharField(label=gettext_lazy("Why it is corrected"), max_length=400)
