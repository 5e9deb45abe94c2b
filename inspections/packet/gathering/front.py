"""What the first pages say: the verdict, what to decide, the job in figures."""

from __future__ import annotations

from collections.abc import Iterable, Sequence
from datetime import date
from decimal import Decimal

from django.utils.translation import gettext as _
from django.utils.translation import gettext_noop, ngettext

from crews.domain.trade_words import PanelKind
from crews.models import Shift
from crews.queries.panels import PanelRow
from inspections.packet.gathering.reading import Reading, came, neat
from inspections.packet.gathering.sheets import sheet_mark
from inspections.packet.gathering.turned import Turned
from inspections.packet.gathering.wrong import days_text
from inspections.packet.shape import (
    Decision,
    Figure,
    Mark,
    Missing,
    Recipient,
    mark,
)
from inspections.queries.findings import NonconformanceRow
from inspections.queries.work import Work
from project.charts.text import unit_text
from project.domain.roles import Role
from project.domain.verdict import State
from project.queries.jobs import members_of

_ISSUED_TO = (Role.OWNER, Role.ENGINEER, Role.BUILDING_OFFICIAL)
_COPIED_TO = (Role.CONTRACTOR_QC,)
_COUNTS = (
    *(gettext_noop("No"), gettext_noop("One"), gettext_noop("Two")),
    *(gettext_noop("Three"), gettext_noop("Four"), gettext_noop("Five")),
    *(gettext_noop("Six"), gettext_noop("Seven"), gettext_noop("Eight")),
    gettext_noop("Nine"),
)


def figures(reading: Reading) -> list[Figure]:
    """Return the job in figures: this week, before it, and to date."""
    week, ever = reading.week, reading.to_date
    placed_week, placed_ever = neat(week), neat(ever)
    unit = placed_ever.unit if placed_ever else "yd3"
    return [
        _counted(_("Shifts worked"), _worked(week), _worked(ever)),
        _measured(
            _("Placed, neat, %(unit)s") % {"unit": unit_text(unit)},
            placed_week.value if placed_week else Decimal(0),
            placed_ever.value if placed_ever else Decimal(0),
            Decimal("0.1"),
        ),
        _measured(
            _("Delivered and accepted, %(unit)s")
            % {"unit": unit_text(came(ever).unit)},
            came(week).value,
            came(ever).value,
            Decimal("0.01"),
        ),
        _counted(_("Panels owed"), week.ledger.owed, ever.ledger.owed),
        _counted(_("Panels shot"), _shot(week), _shot(ever)),
        *_sets(reading),
        _counted(
            _("Deficiencies opened"),
            sum(reading.in_days(row.row.seen_at) for row in reading.deficiencies),
            len(reading.deficiencies),
        ),
        *_reports(reading),
    ]


def _worked(read_work: Work) -> int:
    return sum(not shift.no_work_reason for shift in read_work.shifts)


def _shot(read_work: Work) -> int:
    return sum(row.kind is PanelKind.PRODUCTION for row in read_work.panels)


def _counted(label: str, week: int, ever: int, indent: int = 0) -> Figure:
    return {
        "label": label,
        "indent": indent,
        "week": str(week),
        "before": str(ever - week),
        "to_date": str(ever),
    }


def _measured(label: str, week: Decimal, ever: Decimal, step: Decimal) -> Figure:
    return {
        "label": label,
        "indent": 0,
        "week": str(week.quantize(step)),
        "before": str((ever - week).quantize(step)),
        "to_date": str(ever.quantize(step)),
    }


def _decided(reading: Reading) -> list[tuple[PanelRow, bool, State]]:
    """Return production sets that are judged, and whether the result came this week."""
    found = []
    for panel in reading.panels:
        one = panel.decisive
        if panel.kind is not PanelKind.PRODUCTION or one is None or one.waiting:
            continue
        reports = [core.report for core in one.cores if core.report]
        last = max((report.received_at for report in reports), default=None)
        if last and reading.job.local(last).date() <= reading.last:
            found.append((panel, reading.in_days(last), one.verdict.state))
    return found


def _sets(reading: Reading) -> Iterable[Figure]:
    decided = _decided(reading)
    ages = {one.age for panel, _w, _s in decided if (one := panel.decisive)}
    age = f"{min(ages)}-day " if len(ages) == 1 else ""
    rows = (
        (_("%(age)ssets reported") % {"age": age}, 0, None),
        (_("of them passing"), 1, State.PASS),
        (_("of them failing"), 1, State.FAIL),
    )
    for label, indent, state in rows:
        kept = [new for _p, new, s in decided if state in (None, s)]
        name = label[:1].upper() + label[1:] if not indent else label
        yield _counted(name, sum(kept), len(kept), indent)


def _reports(reading: Reading) -> Iterable[Figure]:
    raised = [
        row
        for row in reading.nonconformances
        if reading.job.local(row.raised_at).date() <= reading.last
    ]
    closed = [
        at
        for row in raised
        if (at := row.closed_at) and reading.job.local(at).date() <= reading.last
    ]
    new = sum(reading.in_days(row.raised_at) for row in raised)
    yield _counted(_("Nonconformance reports raised"), new, len(raised))
    yield _counted(_("closed"), sum(map(reading.in_days, closed)), len(closed), 1)


def _unsigned(reading: Reading) -> list[Shift]:
    """Return the shifts to date without a signed sheet of the agency's."""
    signed = {sheet.row.shift_id for sheet in reading.sheets if sheet.first}
    return [row for row in reading.to_date.shifts if row.first not in signed]


def missing(reading: Reading) -> list[Missing]:
    """Return what ought to be here and is not, or still waits for someone."""
    rows: list[Missing] = []
    for sheet in reading.sheets:
        if sheet.waits_for_review:
            rows.append(
                {
                    "what": sheet.code,
                    "why": _("signed, not yet reviewed by a second person"),
                    "mark": sheet_mark(sheet),
                }
            )
    for shift in _unsigned(reading):
        code = next(
            (s.code for s in reading.sheets if s.row.shift_id == shift.first),
            _("Daily field report"),
        )
        rows.append(
            {
                "what": f"{code}, {shift.work_date.isoformat()}",
                "why": _("not signed by the cut"),
                "mark": mark("missing"),
            }
        )
    for owed in reading.week.ledger.missing:
        who = owed.held[0].code if owed.held else ""
        rows.append(
            {
                "what": _("Panel by %(who)s, %(day)s, %(mix)s")
                % {
                    "who": who,
                    "day": owed.work_date.isoformat(),
                    "mix": owed.line.owed.mix,
                },
                "why": _("owed by the rule, not shot"),
                "mark": mark("missing"),
            }
        )
    return rows


def _refused(reading: Reading) -> int:
    return sum(
        held.frozen is not None and held.frozen.state is State.FAIL
        for placed in reading.week.placed
        for held in placed.times
    )


def _failed(reading: Reading) -> list[str]:
    return [
        p.code for p, new, state in _decided(reading) if new and state is State.FAIL
    ]


def decisions(reading: Reading) -> list[Decision]:
    """Return what the reader is asked to decide: every report that is open."""
    rows: list[Decision] = [
        {
            "record": row.code,
            "where": row.row.about_text,
            "why": row.row.words,
            "mark": _standing(reading, row.response_due),
        }
        for row in reading.nonconformances
        if row.is_open
    ]
    return rows


def _standing(reading: Reading, due: date | None) -> Mark:
    late = (reading.last - due).days if due else 0
    if late <= 0:
        return mark("open")
    return mark(
        "late", ngettext("%(n)s day late", "%(n)s days late", late) % {"n": late}
    )


def verdict(reading: Reading, turned: Sequence[Turned]) -> tuple[Mark, str]:
    """Return the stamp of the week and its one line."""
    refused, failed = _refused(reading), _failed(reading)
    lost = sum(one.now is State.FAIL for one in turned)
    absent = len(reading.week.ledger.missing)
    still = [row for row in reading.nonconformances if row.is_open]
    said = [
        _("No shift was worked this week.") if not _worked(reading.week) else "",
        _said_of_operators(reading, refused, lost),
        _said_of_sets(failed),
        ngettext(
            "%(n)s panel owed was not shot.", "%(n)s panels owed were not shot.", absent
        )
        % {"n": in_words(absent)}
        if absent
        else "",
        _said_of_reports(still),
        _said_of_sheets(reading),
    ]
    order = not (refused or lost or failed or absent or still or missing(reading))
    line = " ".join(text for text in said if text)
    return mark("all in order" if order else "not all in order"), line


def _said_of_operators(reading: Reading, refused: int, lost: int) -> str:
    """Say who stood unqualified at the take, and who is known to have, by now."""
    said = []
    if refused:
        one = ngettext(
            "%(n)s nozzle time was shot by an operator not qualified on record.",
            "%(n)s nozzle times were shot by operators not qualified on record.",
            refused,
        )
        said.append(one % {"n": in_words(refused)})
    if lost:
        one = ngettext(
            "%(n)s nozzle time was qualified on record when it began and is not by now.",
            "%(n)s nozzle times were qualified on record when they began and are not by"
            " now.",
            lost,
        )
        said.append(one % {"n": in_words(lost)})
    if not said and reading.week.placed:
        return _("Nothing was placed this week by an operator not qualified on record.")
    return " ".join(said)


def _said_of_sets(failed: Sequence[str]) -> str:
    if not failed:
        return ""
    return ngettext(
        "%(n)s set of cores fails: %(codes)s.",
        "%(n)s sets of cores fail: %(codes)s.",
        len(failed),
    ) % {"n": in_words(len(failed)), "codes": ", ".join(failed)}


def _said_of_reports(still: Sequence[NonconformanceRow]) -> str:
    if not still:
        return ""
    oldest = max(still, key=lambda row: row.age_observed)
    return ngettext(
        "%(n)s nonconformance report is open, the oldest %(age)s.",
        "%(n)s nonconformance reports are open, the oldest %(age)s.",
        len(still),
    ) % {"n": in_words(len(still)), "age": days_text(oldest.age_observed)}


def _said_of_sheets(reading: Reading) -> str:
    """Say which daily field reports still wait for a signature or a review."""
    unsigned = len(_unsigned(reading))
    waiting = sum(sheet.waits_for_review for sheet in reading.sheets)
    said = []
    if unsigned:
        words = ngettext(
            "%(n)s daily field report is not signed.",
            "%(n)s daily field reports are not signed.",
            unsigned,
        )
        said.append(words % {"n": in_words(unsigned)})
    if waiting:
        words = ngettext(
            "%(n)s daily field report waits for its review.",
            "%(n)s daily field reports wait for their review.",
            waiting,
        )
        said.append(words % {"n": in_words(waiting)})
    return " ".join(said)


def in_words(count: int) -> str:
    """Return a count as it opens a sentence: in words up to nine."""
    return _(_COUNTS[count]) if count < len(_COUNTS) else str(count)


def recipients(reading: Reading) -> list[Recipient]:
    """Return to whom the packet goes: members on the day of the cut."""
    rows: list[Recipient] = []
    for how, roles in ((_("issued to"), _ISSUED_TO), (_("copied to"), _COPIED_TO)):
        for role in roles:
            for member in members_of(reading.job, role=role):
                ended = member.to_on is not None and member.to_on < reading.last
                if member.from_on <= reading.last and not ended:
                    rows.append(
                        {
                            "name": member.user.printed_name,
                            "firm": member.organization.name,
                            "role": member.role,
                            "how": how,
                        }
                    )
    return rows
