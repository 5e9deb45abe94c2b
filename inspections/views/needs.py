"""What needs a member, as the ruled lines of their home page."""

from __future__ import annotations

from collections.abc import Iterator
from dataclasses import dataclass
from datetime import date, timedelta

from django.urls import reverse
from django.utils.dateformat import format as dated
from django.utils.translation import gettext as _
from django.utils.translation import gettext_lazy, ngettext

from crews.charts.standing import set_shown
from crews.domain.endings import Ending, EndingKind
from crews.queries.ledger import LedgerRow
from crews.queries.strength import DueRow
from inspections.domain.week import week_of
from inspections.queries.findings import NonconformanceRow
from inspections.queries.reports import Sheet
from inspections.queries.today import DAYS_AHEAD, ENDS_AHEAD, Today
from project.access import Door
from project.domain.roles import Ability, Role

# Overdue first, then what is due today, then what waits, then what is only coming.
LATE, NOW, WAITS, COMING = range(4)

_COUNTS = {
    0: gettext_lazy("Nothing needs you"),
    1: gettext_lazy("One thing needs you"),
    2: gettext_lazy("Two things need you"),
    3: gettext_lazy("Three things need you"),
    4: gettext_lazy("Four things need you"),
    5: gettext_lazy("Five things need you"),
    6: gettext_lazy("Six things need you"),
    7: gettext_lazy("Seven things need you"),
    8: gettext_lazy("Eight things need you"),
    9: gettext_lazy("Nine things need you"),
    10: gettext_lazy("Ten things need you"),
}


@dataclass(frozen=True, slots=True)
class Line:
    """One thing that is owed: the record, the act, the evidence, the one link."""

    rank: int
    code: str
    act: str
    evidence: str
    stamp: str
    words: str
    url: str
    verb: str


def lines(needs: Today, door: Door) -> list[Line]:
    """Return what needs the member, the most urgent first, each kind in its order."""
    found = [
        *_sheets(needs, door),
        *_deficiencies(needs, door),
        *_reports(needs, door),
        *_proposals(needs, door),
        *_panels(needs, door),
        *_results(needs, door),
        *_judging(needs, door),
        *_packets(needs, door),
        *_ends(needs, door),
    ]
    return sorted(found, key=lambda line: line.rank)


def this_week(needs: Today) -> list[DueRow]:
    """Return the results due in the days ahead, late ones too, for the right page."""
    until = needs.on + timedelta(days=DAYS_AHEAD)
    return [row for row in needs.coming if row.due_on <= until]


def next_words(needs: Today, door: Door) -> str:
    """Say what comes next and when, once nothing else waits."""
    later = [row for row in needs.coming if row.due_on > needs.on]
    if later:
        told = {
            "code": later[0].panel.code,
            "age": later[0].set.age,
            "day": dated(later[0].due_on, "D j M"),
        }
        return _("Next: the %(age)s-day result of %(code)s, %(day)s.") % told
    if door.may(Ability.READ_PACKETS):
        week = week_of(needs.on, first_weekday=door.job.week_starts_on)
        told = {"day": dated(week.last, "D j M")}
        return _("Next: the packet of the week that ends %(day)s.") % told
    return _("No other date is on record.")


def title(count: int) -> str:
    """Say how many things need the member, in words as far as words are read faster."""
    words = _COUNTS.get(count)
    if words is not None:
        return str(words)
    return _("%(n)s things need you") % {"n": count}


def _to(door: Door, page: str, *args: object) -> str:
    return reverse(page, args=[door.job.code, *args])


def _sheets(needs: Today, door: Door) -> Iterator[Line]:
    for shift in needs.shifts_without_sheet:
        yield Line(
            NOW,
            dated(shift.work_date, "j M"),
            _("Open the sheet of this shift"),
            f"{shift.organization.name}, {shift.name}",
            "missing",
            "",
            _to(door, "shift", shift.first),
            _("Open the shift"),
        )
    for sheet in needs.to_sign:
        late = _late(sheet)
        yield Line(
            LATE if late else NOW,
            sheet.code,
            _("Sign your sheet"),
            dated(sheet.shift.work_date, "j M Y"),
            "late" if late else "draft",
            late,
            _to(door, "report", sheet.row.number),
            _("Read and sign"),
        )
    for sheet in needs.to_review:
        yield Line(
            WAITS,
            sheet.code,
            _("Review a signed sheet"),
            f"{sheet.row.inspector.user.printed_name}, "
            f"{dated(sheet.shift.work_date, 'j M Y')}",
            "not reviewed",
            "",
            _to(door, "report", sheet.row.number),
            _("Review it"),
        )
    for one in needs.flagged:
        yield Line(
            WAITS,
            one.sheet.code,
            _("Clear what contradicts itself"),
            "; ".join(flag.words for flag in one.flags),
            "flagged",
            "",
            _to(door, "report", one.sheet.row.number),
            _("See the flags"),
        )


def _late(sheet: Sheet) -> str:
    minutes = sheet.timing.late_minutes if sheet.timing else 0
    if not minutes:
        return ""
    days = minutes // (24 * 60)
    if days:
        return ngettext("%(n)s day late", "%(n)s days late", days) % {"n": days}
    return _("%(n)s h late") % {"n": max(1, minutes // 60)}


def _deficiencies(needs: Today, door: Door) -> Iterator[Line]:
    contractor = door.role is Role.CONTRACTOR_QC
    right = _("Put it right") if contractor else _("See that it is put right")
    for row in needs.deficiencies:
        where = row.row.part.code if row.row.part else ""
        corrected = row.state == "corrected"
        yield Line(
            NOW,
            row.code,
            _("Look at it again") if corrected else right,
            f"{row.item.title.in_language(door.job.language)}, {where} {row.row.place}",
            "open",
            "",
            _to(door, "deficiency", row.row.number),
            _("Open it"),
        )


def _reports(needs: Today, door: Door) -> Iterator[Line]:
    for row in needs.nonconformances:
        act = _asked_of(row, door)
        if act:
            yield _report(row, door, act, on=needs.on)


def _asked_of(row: NonconformanceRow, door: Door) -> str:
    """Name what a report asks of the member; nothing where the move is another's."""
    if row.state == "raised":
        told = door.may(Ability.RAISE_NONCONFORMANCE)
        return _("Tell who must answer") if told else ""
    if door.role is Role.CONTRACTOR_QC:
        return _("Answer the report")
    may_close = door.may(Ability.CLOSE_NONCONFORMANCE)
    return _("Close it, or say what is missing") if may_close else ""


def _report(row: NonconformanceRow, door: Door, act: str, *, on: date) -> Line:
    late = (on - row.response_due).days if row.response_due else 0
    words = ngettext("%(n)s day old", "%(n)s days old", row.age_observed)
    if late > 0:
        words = ngettext("answer %(n)s day late", "answer %(n)s days late", late)
    return Line(
        LATE if late > 0 else NOW if late == 0 and row.response_due else WAITS,
        row.code,
        act,
        f"{row.row.about_text}: {row.row.requirement}",
        "late" if late > 0 else "open",
        words % {"n": late if late > 0 else row.age_observed},
        _to(door, "nonconformance", row.row.number),
        _("Open the report"),
    )


def _proposals(needs: Today, door: Door) -> Iterator[Line]:
    for one in needs.proposals:
        address = _to(door, "raise_nonconformance")
        yield Line(
            NOW,
            one.part_code or one.about_text,
            _("Raise a nonconformance report, or not"),
            one.words,
            "proposed",
            "",
            f"{address}?about={one.about_id}",
            _("Raise it"),
        )


def _panels(needs: Today, door: Door) -> Iterator[Line]:
    for row in needs.panels_missing:
        running = row.work_date == needs.on
        yield Line(
            NOW if running else WAITS,
            ", ".join(row.placements),
            _("See a panel shot before the shift ends")
            if running
            else _("Answer for a panel not shot"),
            _panel_evidence(row, running=running),
            "owed" if running else "missing",
            "",
            _to(door, "panels"),
            _("See the ledger"),
        )


def _panel_evidence(row: LedgerRow, *, running: bool) -> str:
    owed = row.line.owed
    who = row.held[0].code if row.held else row.operator
    said = f"{who}, {owed.mix}, {dated(row.work_date, 'j M')}"
    if running:
        return said
    if row.substitute is None:
        return _("%(said)s: no cores proposed in its place") % {"said": said}
    told = {"said": said, "code": row.substitute.code}
    return _("%(said)s: cores %(code)s proposed in its place") % told


def _results(needs: Today, door: Door) -> Iterator[Line]:
    laboratory = door.may(Ability.ENTER_RESULTS)
    for row in needs.results_due:
        if row.due_on > needs.on:
            continue
        shown = set_shown(row.set, on=needs.on)
        drilled = any(core.row.drilled_at for core in row.set.cores)
        enter = laboratory and drilled
        yield Line(
            LATE if row.due_on < needs.on else NOW,
            row.panel.code,
            _("Enter the %(age)s-day result") % {"age": row.set.age}
            if laboratory
            else _("Chase the %(age)s-day result") % {"age": row.set.age},
            row.panel.row.part.code if row.panel.row.part else str(row.panel.mix),
            shown.stamp.name,
            shown.words,
            _to(door, "enter_results" if enter else "panel", row.panel.code),
            _("Enter results") if enter else _("Open the panel"),
        )


def _judging(needs: Today, door: Door) -> Iterator[Line]:
    for row in needs.to_judge:
        yield Line(
            NOW,
            row.code,
            _("Judge a %(kind)s") % {"kind": row.kind.value},
            f"{row.operator_code}, {row.mix}",
            "open",
            "",
            _to(door, "judge_panel", row.code),
            _("Judge it"),
        )


def _ends(needs: Today, door: Door) -> Iterator[Line]:
    """Yield what ends within a month or has ended, and who is to be assigned anew."""
    if needs.ends is None:
        return
    for one in (*needs.ends.ended, *needs.ends.within(ENDS_AHEAD)):
        left = one.days(needs.on)
        day = dated(one.last_on, "j M")
        words = ngettext("ends in %(n)s day", "ends in %(n)s days", left)
        address = _to(door, "ends_next")
        if one.operator is not None:
            address = _to(door, "operator", one.whose)
        yield Line(
            LATE if left < 0 else COMING,
            one.whose,
            _ending_act(one, left) % {"kind": one.kind, "day": day},
            f"{needs.ends.name(one)}, {one.what}".removeprefix(", "),
            "ends soon" if left >= 0 else "late",
            words % {"n": left} if left >= 0 else _("ended %(day)s") % {"day": day},
            address,
            _("Open operator") if one.operator else _("What ends next"),
        )
    for plan, assigned in needs.ends.to_assign_anew:
        starts = door.job.local(plan.starts_at)
        yield Line(
            NOW,
            plan.code,
            _("Assign %(part)s anew") % {"part": plan.part},
            _("%(who)s is no longer qualified on record for it")
            % {"who": assigned.operator.name},
            "flagged",
            _("planned for %(day)s") % {"day": dated(starts, "j M")},
            _to(door, "plan", plan.code),
            _("Open plan"),
        )


def _ending_act(one: Ending, left: int) -> str:
    """Say what is to be done about an ending; of one that is not a card, what ends."""
    if one.kind is EndingKind.CARD:
        return (
            _("Renew the card before %(day)s")
            if left >= 0
            else _("Renew the card that ended %(day)s")
        )
    return (
        _("Last day of the %(kind)s: %(day)s")
        if left >= 0
        else _("The %(kind)s ended %(day)s")
    )


def _packets(needs: Today, door: Door) -> Iterator[Line]:
    for one in needs.packets:
        packet = one.packet
        yield Line(
            NOW,
            packet.code,
            _("Review the packet") if one.move == "review" else _("Issue the packet"),
            f"{dated(packet.from_on, 'j M')} – {dated(packet.to_on, 'j M Y')}",
            "draft" if one.move == "review" else "reviewed",
            _("prepared") if one.move == "review" else "",
            _to(door, "packet", packet.number, packet.revision),
            _("Open it"),
        )
    if needs.packet_week is not None:
        week = needs.packet_week
        yield Line(
            NOW,
            dated(week.first, "j M"),
            _("Prepare the week's packet"),
            f"{dated(week.first, 'j M')} – {dated(week.last, 'j M Y')}",
            "owed",
            "",
            _to(door, "prepare_packet"),
            _("Prepare packet"),
        )
