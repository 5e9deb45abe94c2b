"""Forms of the job's settings: members, mixes, parts."""

from __future__ import annotations

from decimal import Decimal
from typing import Any

from django import forms
from django.core.exceptions import ValidationError
from django.utils.translation import gettext as _
from django.utils.translation import gettext_lazy

from project.domain.reinforcement import Reinforcement
from project.domain.roles import Role
from project.domain.shooting_words import Position, Process
from project.forms.fields import (
    PastDateField,
    PlainDateField,
    QuantityField,
    SheetForm,
    columns,
)


class MemberForm(SheetForm):
    """Let a person in."""

    email = forms.EmailField(label=gettext_lazy("E-mail address"))
    role = forms.ChoiceField(
        label=gettext_lazy("Role"), choices=[(r.value, r.value) for r in Role]
    )
    organization = forms.ChoiceField(label=gettext_lazy("Firm"))
    from_on = PlainDateField(label=gettext_lazy("From"))

    def __init__(self, *args: Any, firms: list[tuple[str, str]], **kwargs: Any) -> None:
        super().__init__(*args, **kwargs)
        field = self.fields["organization"]
        assert isinstance(field, forms.ChoiceField)  # noqa: S101 declared so above
        field.choices = firms


class EndMemberForm(SheetForm):
    """Let a person out."""

    to_on = PlainDateField(label=gettext_lazy("Last day"))
    reason = forms.CharField(label=gettext_lazy("Why"), max_length=200)


class MixForm(SheetForm):
    """A revision of a mix design with its limits; what is left empty has no limit."""

    code = forms.CharField(label=gettext_lazy("Mix"), max_length=20)
    revision = forms.IntegerField(
        label=gettext_lazy("Revision"), min_value=0, max_value=999
    )
    process = forms.ChoiceField(
        label=gettext_lazy("Process"), choices=[(p.value, p.value) for p in Process]
    )
    description = forms.CharField(
        label=gettext_lazy("What it is"), max_length=200, required=False
    )
    f_c = QuantityField(
        "pressure",
        label=gettext_lazy("Specified strength f_c"),
        units=("psi", "MPa"),
        above=Decimal(0),
    )
    test_age_days = forms.IntegerField(
        label=gettext_lazy("Test age, days"), min_value=1, max_value=365, initial=28
    )
    aggregate = QuantityField(
        "length",
        label=gettext_lazy("Largest aggregate"),
        units=("in", "mm"),
        above=Decimal(0),
        required=False,
    )
    slump_low = QuantityField(
        "length", label=gettext_lazy("Slump, least"), units=("in", "mm"), required=False
    )
    slump_high = QuantityField(
        "length", label=gettext_lazy("Slump, most"), units=("in", "mm"), required=False
    )
    air_low = QuantityField(
        "share", label=gettext_lazy("Air, least"), units=("percent",), required=False
    )
    air_high = QuantityField(
        "share", label=gettext_lazy("Air, most"), units=("percent",), required=False
    )
    temperature_low = QuantityField(
        "temperature", label=gettext_lazy("Concrete, coldest"), required=False
    )
    temperature_high = QuantityField(
        "temperature", label=gettext_lazy("Concrete, hottest"), required=False
    )
    load_age_limit = QuantityField(
        "time",
        label=gettext_lazy("Load age, most"),
        units=("min", "h"),
        above=Decimal(0),
        required=False,
    )
    evaporation_limit = QuantityField(
        "evaporation",
        label=gettext_lazy("Evaporation, most"),
        above=Decimal(0),
        required=False,
    )
    silica_fume = forms.BooleanField(label=gettext_lazy("Silica fume"), required=False)
    submitted_on = PastDateField(label=gettext_lazy("Submitted"), required=False)

    _RANGES = ("slump", "air", "temperature")
    _SINGLES = ("f_c", "aggregate", "load_age_limit", "evaporation_limit")

    def clean(self) -> dict[str, Any]:
        data: dict[str, Any] = super().clean() or self.cleaned_data
        for name in self._RANGES:
            low, high = data.get(f"{name}_low"), data.get(f"{name}_high")
            if low and high and low.unit != high.unit:
                self.add_error(
                    f"{name}_high",
                    ValidationError(
                        _("Unit %(unit)s; allowed is %(low)s, as in the least."),
                        params={"unit": high.unit, "low": low.unit},
                    ),
                )
            elif low and high and high.value < low.value:
                self.add_error(
                    f"{name}_high",
                    ValidationError(
                        _("%(value)s; allowed is at least %(low)s."),
                        params={"value": high, "low": low},
                    ),
                )
        return data

    def facts(self) -> dict[str, Any]:
        """Return the columns of the revision."""
        data = self.cleaned_data
        plain = ("process", "description", "test_age_days", "silica_fume")
        facts: dict[str, Any] = {name: data[name] for name in (*plain, "submitted_on")}
        for name in self._SINGLES:
            facts |= columns(name, data[name])
        for name in self._RANGES:
            low, high = data[f"{name}_low"], data[f"{name}_high"]
            facts[f"{name}_low"] = low.value if low else None
            facts[f"{name}_high"] = high.value if high else None
            facts[f"{name}_unit"] = (low or high).unit if low or high else ""
        return facts


class ApproveMixForm(SheetForm):
    """The engineer's approval of a mix revision."""

    on = PastDateField(label=gettext_lazy("Approved on"))
    placing_properties_changed = forms.ChoiceField(
        label=gettext_lazy("Against the revision before"),
        choices=[
            ("", gettext_lazy("not said")),
            ("no", gettext_lazy("placing properties unchanged: mock-ups stay")),
            ("yes", gettext_lazy("placing properties changed: new mock-ups")),
        ],
        required=False,
    )

    def changed(self) -> bool | None:
        """Return yes, no, or nothing where the engineer did not say."""
        return {"yes": True, "no": False}.get(
            self.cleaned_data["placing_properties_changed"]
        )


class PartForm(SheetForm):
    """A part, with what the drawings ask of it."""

    code = forms.CharField(label=gettext_lazy("Part"), max_length=40)
    name = forms.CharField(label=gettext_lazy("What it is"), max_length=120)
    position = forms.ChoiceField(
        label=gettext_lazy("Position"), choices=[(p.value, p.value) for p in Position]
    )
    area = QuantityField(
        "area", label=gettext_lazy("Area"), units=("ft2", "m2"), above=Decimal(0)
    )
    thickness = QuantityField(
        "length",
        label=gettext_lazy("Thickness"),
        units=("in", "mm"),
        above=Decimal(0),
    )
    mix_code = forms.ChoiceField(label=gettext_lazy("Mix"), required=False)
    mockup_class = forms.CharField(
        label=gettext_lazy("Mock-up class"), max_length=12, required=False
    )
    mockup_by_contract = forms.BooleanField(
        label=gettext_lazy("The contract asks for a mock-up"), required=False
    )
    trainee_allowed = forms.BooleanField(
        label=gettext_lazy("A trainee may shoot it under supervision"), required=False
    )
    finish = forms.CharField(
        label=gettext_lazy("Finish"), max_length=80, required=False
    )
    cover = QuantityField(
        "length",
        label=gettext_lazy("Cover"),
        units=("in", "mm"),
        above=Decimal(0),
        required=False,
    )
    drawing = forms.CharField(
        label=gettext_lazy("Drawing"), max_length=60, required=False
    )

    def __init__(self, *args: Any, mix_codes: list[str], **kwargs: Any) -> None:
        super().__init__(*args, **kwargs)
        field = self.fields["mix_code"]
        assert isinstance(field, forms.ChoiceField)  # noqa: S101 declared so above
        field.choices = [("", _("not given")), *((c, c) for c in mix_codes)]

    def facts(self) -> dict[str, Any]:
        """Return the columns of the part's revision."""
        data = dict(self.cleaned_data)
        for name in ("id", "code"):
            data.pop(name)
        for name in ("area", "thickness", "cover"):
            data |= columns(name, data.pop(name))
        return data


class ElementForm(SheetForm):
    """An element of the drawings."""

    code = forms.CharField(label=gettext_lazy("Element"), max_length=40)
    name = forms.CharField(label=gettext_lazy("What it is"), max_length=120)
    drawing = forms.CharField(
        label=gettext_lazy("Drawing"), max_length=60, required=False
    )


def reinforcement_words(data: dict[str, Any]) -> list[str]:
    """Return a part's bars in words, mat by mat; "not given" where nothing is."""
    found = Reinforcement.from_json(data)
    if found is None:
        return [_("not given")]
    lines = [str(mat) for mat in found.mats] or [_("no bars")]
    if found.splice is not None:
        lines.append(_("splices: %(kind)s") % {"kind": found.splice.kind})
    return lines
