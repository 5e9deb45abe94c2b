"""The walk's two forms: what is walked, and every item's answer.

The second one is read by hand: a field object for each answer, cause and note of
sixty items would be built, bound and drawn for nothing. An item nobody answered was
not looked at; whatever else was typed beside it is asked about, never dropped.
"""

from __future__ import annotations

from collections.abc import Mapping, Sequence
from dataclasses import dataclass, field
from typing import Any

from django import forms
from django.core.exceptions import ValidationError
from django.utils.translation import gettext as _
from django.utils.translation import gettext_lazy, ngettext

from crews.forms.fields import OfferForm, PickField
from inspections.domain.catalogue import (
    AnsweredBy,
    AnswerState,
    Edition,
    Item,
    RoundKind,
    Severity,
)
from inspections.domain.rounds import RoundAnswer, round_faults
from inspections.forms.fields import say_what_is_offered
from inspections.forms.words import ROUND_KINDS, SEVERITIES
from inspections.queries.findings import DeficiencyRow
from inspections.queries.round_screen import AskedItem, RoundScreen
from project.charts.text import unit_text
from project.domain.units import Quantity, units_of
from project.forms.fields import LocalDateTimeField, QuantityField, SheetForm

_PARTS = (
    *("answer", "value", "unit", "note", "cause", "correction"),
    *("place", "severity", "already"),
)
_LONGEST = {"note": 400, "cause": 120, "correction": 120, "place": 80}


class ChooseWalkForm(OfferForm):
    """Which moments of the work one walk looks at, and where."""

    kind = forms.MultipleChoiceField(
        label=gettext_lazy("What is looked at"),
        choices=[(str(kind), words) for kind, words in ROUND_KINDS.items()],
        widget=forms.CheckboxSelectMultiple(attrs={"class": "form-check-input"}),
    )
    placement = PickField(label=gettext_lazy("On"), required=False)
    part = PickField(label=gettext_lazy("Part, where nothing is shot"), required=False)

    def __init__(self, *args: Any, part_needed: bool = False, **kwargs: Any) -> None:
        super().__init__(*args, **kwargs)
        self.part_needed = part_needed
        say_what_is_offered(self)
        self.fields.pop("id")
        if part_needed:
            self.fields.pop("placement")
            self.fields["part"].label = gettext_lazy("Part")
        for name in {"placement", "part"} & set(self.fields):
            self.fields[name].widget.attrs["class"] = "form-select"

    def kinds(self) -> list[RoundKind]:
        return [RoundKind(kind) for kind in self.cleaned_data["kind"]]

    def clean(self) -> dict[str, Any]:
        data: dict[str, Any] = super().clean() or self.cleaned_data
        data.setdefault("placement", None)
        if self.part_needed and not data.get("part") and "part" not in self.errors:
            message = _("No part is chosen; one is needed where there is no sheet.")
            self.add_error("part", ValidationError(message))
        return data


@dataclass(slots=True)
class Line:
    """One item on the screen: what was typed, what it was before, what is wrong."""

    asked: AskedItem
    typed: dict[str, str]
    open: Sequence[DeficiencyRow] = ()
    errors: list[str] = field(default_factory=list)

    @property
    def item(self) -> Item:
        return self.asked.item

    @property
    def key(self) -> str:
        return self.item.key

    @property
    def is_measure(self) -> bool:
        return self.item.answered_by is AnsweredBy.MEASURE

    @property
    def units(self) -> list[tuple[str, str]]:
        """The units a reading may be given in, the catalogue's own first."""
        if not self.item.unit:
            return []
        own = self.item.unit
        others = (unit for unit in units_of(self.item.dimension) if unit != own)
        return [(unit, unit_text(unit)) for unit in (own, *others)]


@dataclass(frozen=True, slots=True)
class Found:
    """What is said beside a deficient answer."""

    place: str
    words: str
    severity: Severity | None
    already: DeficiencyRow | None


class WalkForm(SheetForm):
    """Every answer of one walk."""

    at = LocalDateTimeField(label=gettext_lazy("Walked at"))
    rest = forms.TypedChoiceField(
        label=gettext_lazy("The rest"),
        choices=[("", ""), (AnswerState.RIGHT.value, "")],
        required=False,
        coerce=AnswerState,
        empty_value=None,
    )

    def __init__(
        self,
        *args: Any,
        screen: RoundScreen,
        open_rows: Mapping[str, Sequence[DeficiencyRow]],
        answered: Mapping[str, Mapping[str, Any]] | None = None,
        **kwargs: Any,
    ) -> None:
        super().__init__(*args, **kwargs)
        self.edition: Edition = screen.edition
        self.features = screen.ground.features or {}
        self.lines = [
            Line(one, self._typed(one.item, answered), open_rows.get(one.item.key, ()))
            for one in screen.items
        ]
        self.fields["at"].widget.attrs["class"] = "form-control"
        if answered is not None:
            self.fields["reason"] = forms.CharField(
                label=gettext_lazy("Why it is put right"),
                max_length=400,
                widget=forms.TextInput(attrs={"class": "form-control"}),
            )

    def _typed(
        self, item: Item, answered: Mapping[str, Mapping[str, Any]] | None
    ) -> dict[str, str]:
        if self.is_bound:
            return {
                part: str(self.data.get(f"{part}-{item.key}", "")).strip()
                for part in _PARTS
            }
        kept = (answered or {}).get(item.key)
        if kept is None or kept["answer"] == AnswerState.NOT_LOOKED_AT:
            return dict.fromkeys(_PARTS, "")
        value = kept["value"] or ("", "")
        typed = {name: kept[name] for name in ("answer", "note", "cause", "correction")}
        return dict.fromkeys(_PARTS, "") | typed | {"value": value[0], "unit": value[1]}

    @property
    def hearts(self) -> list[Line]:
        return [line for line in self.lines if line.item.heart]

    @property
    def groups(self) -> list[tuple[str, list[Line]]]:
        """The other items under their phases, in the edition's order."""
        found: dict[str, list[Line]] = {}
        for line in self.lines:
            if not line.item.heart:
                words = self.edition.phases[line.item.phase].en
                found.setdefault(words, []).append(line)
        return list(found.items())

    @property
    def groupable(self) -> int:
        """How many items the one grouped answer may cover."""
        return sum(line.item.groupable for line in self.lines)

    def clean(self) -> dict[str, Any]:
        data: dict[str, Any] = super().clean() or self.cleaned_data
        answers = [answer for line in self.lines if (answer := self._answer(line))]
        by_key = {line.key: line for line in self.lines}
        for fault in round_faults(
            answers,
            edition=self.edition,
            asked=[line.item for line in self.lines],
            features=self.features,
        ):
            by_key[fault.item].errors.append(
                _("%(field)s %(value)s; allowed is %(allowed)s.")
                % {"field": fault.field, "value": fault.value, "allowed": fault.allowed}
            )
        wrong = [line.item.title.en for line in self.lines if line.errors]
        if wrong:
            message = ngettext(
                "%(n)s item needs another look: %(items)s.",
                "%(n)s items need another look: %(items)s.",
                len(wrong),
            )
            params = {"n": len(wrong), "items": ", ".join(wrong)}
            raise ValidationError(message, params=params)
        data["answers"] = answers
        data["found"] = self._found(answers, by_key)
        return data

    def _answer(self, line: Line) -> RoundAnswer | None:
        """Return an item's answer as typed; what cannot be is kept on the line."""
        typed = line.typed
        if not typed["answer"] or typed["answer"] == AnswerState.NOT_LOOKED_AT:
            self._nothing_beside(line)
            return None
        try:
            state = AnswerState(typed["answer"])
        except ValueError:
            allowed = ", ".join(AnswerState)
            line.errors.append(
                _("Answer %(given)s; allowed are %(allowed)s.")
                % {"given": typed["answer"], "allowed": allowed}
            )
            return None
        for name, most in _LONGEST.items():
            if len(typed[name]) > most:
                line.errors.append(
                    _("%(name)s of %(n)s letters; allowed are %(most)s at most.")
                    % {"name": name, "n": len(typed[name]), "most": most}
                )
        wrong = state is AnswerState.DEFICIENT
        if wrong:
            self._offered(line)
        # A cause typed before the answer changed its mind says nothing any more.
        return RoundAnswer(
            line.key,
            state,
            value=self._value(line),
            cause=typed["cause"] if wrong else "",
            correction=typed["correction"] if wrong else "",
            note=typed["note"],
        )

    def _offered(self, line: Line) -> None:
        """Refuse what none of the lists beside a deficient answer offers."""
        codes = [row.code for row in line.open]
        for name, offered in (("severity", list(SEVERITIES)), ("already", codes)):
            given = line.typed[name]
            if given and given not in offered:
                allowed = ", ".join(offered) or _("none")
                line.errors.append(
                    _("%(name)s %(given)s; allowed are %(allowed)s.")
                    % {"name": name, "given": given, "allowed": allowed}
                )

    def _nothing_beside(self, line: Line) -> None:
        """Ask about what was typed beside an item that has no answer."""
        names = ("value", "note", "cause", "correction", "place")
        given = next((line.typed[name] for name in names if line.typed[name]), "")
        if given:
            line.errors.append(
                _("%(given)s is typed, and no answer is given; one of the three is.")
                % {"given": given}
            )

    def _value(self, line: Line) -> Quantity | None:
        typed = line.typed
        if not typed["value"]:
            return None
        if not line.item.unit:
            line.errors.append(
                _("Reading %(value)s; no reading is taken here.") % typed
            )
            return None
        dimension = line.item.dimension
        try:
            return QuantityField(dimension).clean([typed["value"], typed["unit"]])
        except ValidationError as error:
            line.errors += error.messages
            return None

    def _found(
        self, answers: Sequence[RoundAnswer], by_key: Mapping[str, Line]
    ) -> dict[str, Found]:
        found = {}
        for answer in answers:
            if answer.answer is not AnswerState.DEFICIENT:
                continue
            line = by_key[answer.item]
            typed = line.typed
            found[answer.item] = Found(
                place=typed["place"],
                words=typed["note"],
                severity=Severity(typed["severity"]) if typed["severity"] else None,
                already=next(
                    (r for r in line.open if r.code == typed["already"]), None
                ),
            )
        return found
