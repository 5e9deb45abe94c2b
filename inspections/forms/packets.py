"""Forms of the packet: prepare a week, review it, revise it."""

from __future__ import annotations

from django import forms
from django.utils.translation import gettext_lazy

from project.forms.fields import PasswordField, PastDateField, SheetForm


class PrepareForm(SheetForm):
    """Any date of the week that the packet is about."""

    day = PastDateField(
        label=gettext_lazy("Week"), help_text=gettext_lazy("Any date of the week.")
    )


class ReviewForm(SheetForm):
    """A second person's name under what the packet will say."""

    printed_name = forms.CharField(
        label=gettext_lazy("Your printed name"), max_length=120
    )
    password = PasswordField()


class ReviseForm(SheetForm):
    """Why an issued packet is told anew."""

    reason = forms.CharField(
        label=gettext_lazy("Why, as its reader is told"),
        widget=forms.Textarea(attrs={"rows": 3}),
        min_length=10,
        max_length=400,
    )
