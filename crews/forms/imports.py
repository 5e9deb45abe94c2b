"""Forms of operators and cards from a file: the file, and the word that it be saved."""

from __future__ import annotations

from typing import Any

from django import forms
from django.utils.translation import gettext as _
from django.utils.translation import gettext_lazy

from crews.domain.operator_import import DATE_COLUMNS, Cells, Column, Fault
from crews.forms.fields import OfferForm, PickField
from project.forms.spreadsheets import MOST_BYTES, MOST_ROWS, Sheet, read_sheet

HEADS = [column.value for column in Column]
NEEDED = [Column.BADGE.value, Column.NAME.value]


def read_operators(raw: bytes, *, name: str) -> Sheet:
    """Return a file's rows. Raises ValidationError naming it and what is allowed."""
    return read_sheet(raw, name=name, heads=HEADS, needed=NEEDED, dates=DATE_COLUMNS)


def as_cells(sheet: Sheet) -> list[Cells]:
    """Return the rows of a file as the rules judge them."""
    return [
        Cells(row.number, row.cells, tuple(Fault(*one) for one in row.faults.items()))
        for row in sheet.rows
    ]


class ImportForm(OfferForm):
    """Whose operators a file names, and the file."""

    organization = PickField(label=gettext_lazy("Firm"))
    file = forms.FileField(
        label=gettext_lazy("File"),
        max_length=160,
        allow_empty_file=True,  # refused by name below, like all that is no table
        widget=forms.ClearableFileInput(attrs={"accept": ".csv,.xlsx"}),
    )

    def __init__(self, *args: Any, **kwargs: Any) -> None:
        super().__init__(*args, **kwargs)
        self.fields["file"].help_text = _(
            "CSV in UTF-8 or a workbook (.xlsx), %(mb)s MB and %(rows)s rows at most."
        ) % {"mb": MOST_BYTES // 1024 // 1024, "rows": f"{MOST_ROWS:,}"}

    def clean_file(self) -> Any:
        """Read the file once, to refuse it here; return its bytes and its name."""
        sent = self.cleaned_data["file"]
        # One byte more than is allowed is enough to see that it is too long.
        raw = sent.read(MOST_BYTES + 1)
        read_operators(raw, name=sent.name)
        return raw, sent.name


class SaveImportForm(OfferForm):
    """That the rows be saved as they were shown, and why cards are corrected."""

    digest = forms.CharField(widget=forms.HiddenInput, max_length=64)
    reason = forms.CharField(
        label=gettext_lazy("Why the cards are corrected"),
        max_length=400,
        error_messages={"required": gettext_lazy("Say why the cards are corrected.")},
    )

    def __init__(self, *args: Any, corrects: bool, **kwargs: Any) -> None:
        super().__init__(*args, **kwargs)
        if not corrects:
            del self.fields["reason"]
