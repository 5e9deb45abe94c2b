"""Forms of photographs."""

from __future__ import annotations

from typing import Any

from django import forms
from django.core.exceptions import ValidationError
from django.utils.translation import gettext as _
from django.utils.translation import gettext_lazy

from crews.forms.fields import PickField
from inspections.forms.fields import EntryForm
from project.forms.fields import LocalDateTimeField

_MEGABYTE = 1024 * 1024


class CaptionForm(EntryForm):
    """What a photograph shows, where and when."""

    caption = forms.CharField(
        label=gettext_lazy("What it shows"), max_length=240, required=False
    )
    part = PickField(label=gettext_lazy("Part"), required=False)
    place = forms.CharField(label=gettext_lazy("Place"), max_length=40, required=False)
    at = LocalDateTimeField(
        label=gettext_lazy("Taken at"),
        required=False,
        help_text=gettext_lazy("Left empty: the camera's own time counts, then now."),
    )


class PhotographForm(CaptionForm):
    """A photograph with what it belongs to. What is no picture is refused by name."""

    field_order = ("id", "picture", "caption", "placement", "part", "place")

    picture = forms.FileField(
        label=gettext_lazy("Photograph"),
        allow_empty_file=True,  # the action refuses it by name, like all that is none
        help_text=gettext_lazy("A JPEG or PNG file, 40 MB at most."),
        widget=forms.ClearableFileInput(attrs={"accept": "image/jpeg,image/png"}),
    )
    placement = PickField(label=gettext_lazy("On"), required=False)
    deficiency = PickField(label=gettext_lazy("Of a deficiency"), required=False)

    def __init__(self, *args: Any, most: int, **kwargs: Any) -> None:
        super().__init__(*args, **kwargs)
        self.most = most

    def clean_picture(self) -> Any:
        """Refuse by its size what is not worth reading."""
        picture = self.cleaned_data["picture"]
        if picture.size > self.most:
            message = _("%(name)s has %(size)s MB; allowed is %(most)s MB at most.")
            params = {
                "name": picture.name,
                "size": f"{picture.size / _MEGABYTE:.1f}",
                "most": self.most // _MEGABYTE,
            }
            raise ValidationError(message, params=params)
        return picture

    def given_file(self) -> dict[str, Any]:
        """Return the file's bytes and its name."""
        picture = self.cleaned_data["picture"]
        return {"raw": picture.read(), "name": picture.name}
