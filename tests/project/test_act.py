"""One act, one transaction, one line; the same request twice makes one record."""

from __future__ import annotations

from datetime import date, timedelta
from decimal import Decimal

import pytest
from django.core.exceptions import PermissionDenied, ValidationError

from project import clock
from project.actions.jobs import approve_mix, create_job, revise_mix
from project.audit import act, verify_stream
from project.models import AuditEvent, Job, Membership, MixRevision, new_id
from project.queries.jobs import mixes
from tests.project.conftest import START


def _lines(book) -> list[AuditEvent]:
    return list(AuditEvent.objects.filter(stream=book.job.stream).order_by("seq"))


def test_an_action_leaves_its_row_and_exactly_one_line(book):
    before = len(_lines(book))
    mix = approve_mix(id=new_id(), by=book.engineer, mix=book.mix, on=date(2026, 7, 1))
    lines = _lines(book)
    assert len(lines) == before + 1
    assert lines[-1].verb == "mix.approved"
    assert lines[-1].subject_id == mix.pk
    assert lines[-1].actor_text == "Anna Norddal, engineer"
    assert mix.recorded_at == lines[-1].at


def test_the_same_request_twice_makes_one_record_and_one_line(book):
    id = new_id()
    for _ in range(2):
        revise_mix(
            id=id,
            by=book.admin,
            code="W-2",
            revision=1,
            process="wet",
            f_c=Decimal("5000"),
            f_c_unit="psi",
        )
    assert MixRevision.objects.filter(code="W-2").count() == 1
    assert [line.subject_id for line in _lines(book)].count(id) == 1


def test_a_refused_act_leaves_nothing(book):
    before = len(_lines(book))
    with pytest.raises(ValidationError) as refused:
        create_job(
            id=new_id(),
            by=book.user,
            code="J-2",
            name="Another",
            contract_number="C-2",
            owner=book.firm,
            zone="Mars/Crater",
            unit_system="US",
            week_starts_on=0,
            paper="Letter",
        )
    assert "Mars/Crater" in str(refused.value)
    assert not Job.objects.filter(code="J-2").exists()
    assert len(_lines(book)) == before


def test_times_under_one_stream_strictly_rise_though_the_clock_stands_still(book):
    times = [line.at for line in _lines(book)]
    assert times == sorted(set(times))
    with clock.set_to(START - timedelta(days=1)):
        mix = approve_mix(
            id=new_id(), by=book.engineer, mix=book.mix, on=date(2026, 6, 30)
        )
    assert mix.recorded_at > times[-1]


def test_a_fact_is_superseded_by_name_and_only_once(book):
    first = approve_mix(
        id=new_id(), by=book.engineer, mix=book.mix, on=date(2026, 7, 1)
    )
    assert first.first == book.mix.pk
    assert first.supersedes_id == book.mix.pk
    with pytest.raises(ValidationError, match="corrected by somebody else"):
        approve_mix(id=new_id(), by=book.engineer, mix=book.mix, on=date(2026, 7, 2))


def test_as_known_before_the_approval_the_mix_was_not_approved(book):
    with clock.set_to(START + timedelta(hours=1)):
        approved = approve_mix(
            id=new_id(), by=book.engineer, mix=book.mix, on=date(2026, 7, 1)
        )
    just_before = approved.recorded_at - timedelta(microseconds=1)
    assert [m.approved_on for m in mixes(book.job, known_at=just_before)] == [None]
    known = mixes(book.job, known_at=approved.recorded_at)
    assert [m.approved_on for m in known] == [date(2026, 7, 1)]


def test_an_act_inside_an_act_joins_it(book):
    before = len(_lines(book))
    with act(on=book.job, by=book.admin, verb="two.mixes"):
        for code in ("W-3", "W-4"):
            revise_mix(
                id=new_id(),
                by=book.admin,
                code=code,
                revision=1,
                process="dry",
                f_c=Decimal("41.4"),
                f_c_unit="MPa",
            )
    lines = _lines(book)
    assert len(lines) == before + 1
    assert lines[-1].verb == "two.mixes"
    assert len(lines[-1].payload["rows"]) == 2


def test_an_act_on_one_stream_never_hides_in_one_on_another(book):
    with (
        pytest.raises(ValueError, match="inside one on"),
        act(on=book.job, by=book.admin, verb="outer"),
        act(on=book.firm, by=book.admin, verb="inner"),
    ):
        pass


def test_a_role_without_the_ability_is_refused_inside_too(book):
    with pytest.raises(PermissionDenied):
        approve_mix(id=new_id(), by=book.admin, mix=book.mix, on=date(2026, 7, 1))


def test_the_chain_of_a_fresh_job_holds_together(book):
    assert verify_stream(book.job.stream) is None
    assert verify_stream(book.firm.stream) is None
    assert verify_stream(book.user.stream) is None


def test_a_stale_copy_of_a_living_row_breaks_no_digest(book):
    """Two people have the same row before them; each changes another column."""
    mine = Membership.objects.get(pk=book.engineer.pk)
    theirs = Membership.objects.get(pk=book.engineer.pk)
    with act(on=book.job, by=book.admin, verb="member.titled") as deed:
        deed.change(theirs, title="structural engineer")
    with act(on=book.job, by=book.admin, verb="member.let_out") as deed:
        deed.change(mine, to_on=date(2027, 1, 1))
    assert verify_stream(book.job.stream) is None
    last = _lines(book)[-1].payload["changes"]
    assert last == {str(mine.pk): {"to_on": ["None", "2027-01-01"]}}


def test_a_zero_typed_with_a_minus_is_a_zero_to_the_digest(book):
    mix = revise_mix(
        id=new_id(),
        by=book.admin,
        code="W-2",
        revision=1,
        process="wet",
        f_c=Decimal("5000"),
        f_c_unit="psi",
        temperature_low=Decimal("-0"),
        temperature_unit="C",
    )
    assert verify_stream(book.job.stream) is None
    mix.refresh_from_db()
    assert f"{mix.temperature_low:f}" == "0"


def test_a_stream_that_stood_still_is_not_overtaken_when_the_clock_steps_back(book):
    """What an act read beside its own stream was known then, and stays so."""
    with act(on=book.job, by=book.admin, verb="x", also=(book.firm,)) as deed:
        deed.change(book.engineer, title="structural engineer")
    with (
        clock.set_to(deed.at - timedelta(seconds=1)),
        act(on=book.firm, by=book.user, verb="y") as later,
    ):
        later.change(book.firm, name="Another name")
    assert later.at > deed.at
