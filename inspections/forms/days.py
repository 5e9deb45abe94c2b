"""Which month of the book is open."""

from __future__ import annotations

from collections.abc import Sequence
from typing import Any

from django import forms
from django.core.exceptions import ValidationError
from django.utils.translation import gettext as _

from inspections.queries.months import Month


class MonthForm(forms.Form):
    """A month in which something was shot."""

    month = forms.CharField(required=False)

    def __init__(self, *args: Any, months: Sequence[Month], **kwargs: Any) -> None:
        super().__init__(*args, **kwargs)
        self.months = {str(month): month for month in months}

    def clean_month(self) -> Month | None:
        asked = self.cleaned_data["month"]
        if not asked:
            return None
        if asked not in self.months:
            message = _("Month %(asked)s; allowed are %(allowed)s.")
            allowed = ", ".join(self.months) or _("none yet")
            params = {"asked": asked, "allowed": allowed}
            raise ValidationError(message, params=params)
        return self.months[asked]
