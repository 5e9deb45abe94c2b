"""What the laboratory reports: one report with its results, all or nothing."""

from __future__ import annotations

from dataclasses import replace
from datetime import date

import pytest
from django.core.exceptions import NON_FIELD_ERRORS, PermissionDenied

from crews.actions.laboratory import amend_lab_report, enter_lab_report
from crews.models import LabReport, LabResult
from crews.queries.panels import panels
from project.domain.verdict import State
from project.models import new_id
from tests.crews.acts import lines, nothing_written, one_line, refused
from tests.factories import (
    at,
    clock_at,
    make_cores,
    make_panel,
    make_shift,
    q,
    report,
    result,
)
from tests.support.made_once import made_once

TESTED = "2026-09-01 10:00"


@made_once
def cores(site):
    with clock_at("2026-08-04 06:50"):
        shift = make_shift(site.inspector, site.contractor)
    panel = make_panel(site, shift=shift)
    return make_cores(site, panel)


def _report(site, results, **facts):
    given = {
        "id": new_id(),
        "by": site.technician,
        "number": "L-26/118",
        "results": results,
        "authorised_by": "the technical manager",
    }
    return given | facts


def _three(cores, *strengths):
    given = strengths or ("5500", "5400", "5300")
    return [result(c, TESTED, s) for c, s in zip(cores[2:], given, strict=True)]


def _set_of(site, age=28):
    rows = panels(site.job, known_at=at("2026-12-01 00:00"), on=date(2026, 9, 2))
    return next(one for one in rows[0].sets if one.age == age)


def test_a_report_and_its_results_are_one_line(site, cores):
    with clock_at("2026-09-01 15:00"), one_line(site.job, "results.entered"):
        made = enter_lab_report(**_report(site, _three(cores)))
    assert (made.letter, made.issued_on) == ("A", date(2026, 9, 1))
    rows = [kind for kind, *_ in lines(site.job.stream)[-1].payload["rows"]]
    assert rows == ["labreport", "labresult", "labresult", "labresult"]
    assert _set_of(site).verdict.state is State.PASS


def test_the_same_report_sent_twice_is_one_report(site, cores):
    given = _report(site, _three(cores))
    with clock_at("2026-09-01 15:00"):
        first = enter_lab_report(**given)
        with nothing_written(site.job):
            assert enter_lab_report(**given) == first
    assert LabResult.objects.count() == 3


@pytest.mark.parametrize(
    ("facts", "field"),
    [
        ({"tested_at": at("2026-08-10 08:59")}, "tested_at"),
        ({"tested_at": at("2026-09-01 15:01")}, "tested_at"),
        ({"breaking_load": q("-100 lbf")}, "breaking_load"),
        ({"breaking_load": q("0 lbf")}, "breaking_load"),
        ({"breaking_load": q("9999999 lbf")}, "breaking_load"),
        ({"breaking_load": None}, "breaking_load"),
        ({"breaking_load": q("30000 psi")}, "breaking_load"),
        ({"d1": q("40 in")}, "d1"),
        ({"d2": None}, "d2"),
        ({"d2": q("76 mm")}, "d2"),
        ({"length_tested": q("-3 in")}, "length_tested"),
        ({"strength": q("5000 lbf")}, "strength"),
        ({"density": q("0 pcf")}, "density"),
        ({"d1": q("3.00001 in")}, "d1"),
    ],
)
def test_one_impossible_figure_refuses_the_whole_report_by_its_line(
    site, cores, facts, field
):
    odd = replace(result(cores[4], TESTED), **facts)
    results = [*_three(cores)[:2], odd]
    with clock_at("2026-09-01 15:00"):
        given = _report(site, results)
        assert f"results.2.{field}" in refused(enter_lab_report, **given)
    assert not LabReport.objects.exists()
    assert not LabResult.objects.exists()


def test_a_strength_typed_as_a_load_is_asked_back_and_kept_when_confirmed(site, cores):
    slip = {"breaking_load": q("5500 lbf")}
    with clock_at("2026-09-01 15:00"):
        given = _report(site, [result(cores[2], TESTED, **slip)])
        told = refused(enter_lab_report, **given)
        assert "5.4 MPa" in told["results.0.breaking_load"][0]
        sure = [result(cores[2], TESTED, confirmed=True, **slip)]
        enter_lab_report(**_report(site, sure))
    assert LabResult.objects.get().breaking_load == 5500


def test_a_load_typed_as_a_strength_is_asked_back(site, cores):
    slip = {"breaking_load": None, "strength": q("36500 psi")}
    with clock_at("2026-09-01 15:00"):
        given = _report(site, [replace(result(cores[2], TESTED), **slip)])
        assert "results.0.strength" in refused(enter_lab_report, **given)


def test_a_core_too_short_is_kept_and_leaves_the_set_incomplete(site, cores):
    short = result(cores[4], TESTED, length_tested=q("2.4 in"))
    with clock_at("2026-09-01 15:00"), one_line(site.job, "results.entered"):
        enter_lab_report(**_report(site, [*_three(cores)[:2], short]))
    one = _set_of(site)
    assert one.verdict.state is State.INCOMPLETE
    assert len(one.counted) == 2
    flagged = next(c for c in one.cores if c.row.pk == cores[4].pk)
    assert flagged.examined.validity.state is State.NOT_TESTABLE


def test_a_laboratory_enters_results_of_its_own_panels_only(site, cores):
    with clock_at("2026-09-01 15:00"):
        given = _report(site, _three(cores), by=site.members["other_laboratory"])
        assert "results.0.core" in refused(enter_lab_report, **given)


@pytest.mark.parametrize("who", ["inspector", "qc", "engineer", "owner", "admin"])
def test_nobody_but_the_laboratory_enters_results(site, cores, who):
    with (
        clock_at("2026-09-01 15:00"),
        nothing_written(),
        pytest.raises(PermissionDenied),
    ):
        enter_lab_report(**_report(site, _three(cores), by=site.members[who]))


def test_a_core_is_reported_once_until_a_letter_corrects_it(site, cores):
    report(site, "L-1", "2026-09-01 15:00", _three(cores))
    with clock_at("2026-09-02 15:00"):
        again = _report(site, _three(cores)[:1], number="L-2")
        assert "L-1 A" in refused(enter_lab_report, **again)["results.0.core"][0]
        twice = _report(site, _three(cores), number="L-1")
        assert "number" in refused(enter_lab_report, **twice)


def test_one_report_does_not_name_a_core_twice(site, cores):
    with clock_at("2026-09-01 15:00"):
        results = [result(cores[2], TESTED), result(cores[2], TESTED, "4000")]
        assert "results.1.core" in refused(enter_lab_report, **_report(site, results))


def test_a_report_without_results_is_refused(site, cores):
    with clock_at("2026-09-01 15:00"):
        assert "results" in refused(enter_lab_report, **_report(site, []))


def test_a_report_received_or_issued_in_the_future_is_refused(site, cores):
    with clock_at("2026-09-01 15:00"):
        late = _report(site, _three(cores), received_at=at("2026-09-01 15:01"))
        assert "received_at" in refused(enter_lab_report, **late)
        tomorrow = _report(site, _three(cores), issued_on=date(2026, 9, 2))
        assert "issued_on" in refused(enter_lab_report, **tomorrow)


def test_the_next_letter_supersedes_the_one_before_whole_and_both_are_kept(site, cores):
    first = report(
        site, "L-1", "2026-09-01 15:00", _three(cores, "3900", "3310", "3790")
    )
    assert _set_of(site).verdict.state is State.FAIL
    with clock_at("2026-09-12 09:00"):
        given = _report(site, _three(cores, "3900", "3810", "3790"))
        given.pop("number")
        assert "reason" in refused(amend_lab_report, report=first, reason="", **given)
        with one_line(site.job, "results.amended"):
            second = amend_lab_report(report=first, reason="load misread", **given)
    assert (second.letter, second.first) == ("B", first.pk)
    assert LabResult.objects.count() == 6
    now, then = at("2026-12-01 00:00"), at("2026-09-11 00:00")
    on = date(2026, 9, 12)
    states = [
        panels(site.job, known_at=known_at, on=on)[0].decisive.verdict.state
        for known_at in (then, now)
    ]
    assert states == [State.FAIL, State.PASS]
    lowest = [
        min(
            value
            for _, value in panels(site.job, known_at=k, on=on)[0].decisive.counted
        )
        for k in (then, now)
    ]
    assert [round(value) for value in lowest] == [3310, 3790]


def test_a_letter_is_amended_once_and_by_its_own_laboratory(site, cores):
    first = report(site, "L-1", "2026-09-01 15:00", _three(cores))
    with clock_at("2026-09-12 09:00"):
        given = _report(site, _three(cores), reason="load misread")
        given.pop("number")
        other = given | {"by": site.members["other_laboratory"]}
        with nothing_written(), pytest.raises(PermissionDenied):
            amend_lab_report(report=first, **other)
        amend_lab_report(report=first, **given)
        again = given | {"id": new_id(), "results": _three(cores)}
        assert NON_FIELD_ERRORS in refused(amend_lab_report, report=first, **again)


def test_letters_run_from_a_to_z_and_on():
    from crews.actions.laboratory import _next_letter

    assert [_next_letter(x) for x in ("A", "Y", "Z", "AZ", "ZZ")] == [
        "B",
        "Z",
        "AA",
        "BA",
        "AAA",
    ]
