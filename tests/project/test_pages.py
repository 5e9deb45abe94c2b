"""The kernel's pages with right and wrong input: nothing half-saved, nothing lost."""

from __future__ import annotations

from datetime import date
from html import unescape

import pytest
from django.test import Client
from django.urls import reverse

from project import clock
from project.actions.accounts import enter_user, grant_membership
from project.actions.jobs import add_element, revise_terms
from project.domain.roles import Role
from project.models import (
    AuditEvent,
    ElementPart,
    Membership,
    MixRevision,
    TermsRevision,
    new_id,
)
from tests.project.conftest import START


@pytest.fixture
def pages(book):
    """A client signed in as the administrator and engineer of the small job."""
    revise_terms(
        id=new_id(),
        by=book.admin,
        number=1,
        edition="ibc-2018-1908",
        effective_on=date(2026, 7, 1),
        departures={},
    )
    book.client = Client()
    book.client.force_login(book.user)
    with clock.set_to(START):
        yield book


def _post(pages, page: str, /, *args: object, **data: object):
    address = reverse(page, args=[pages.job.code, *args])
    answer = pages.client.post(address, data)
    return answer.status_code, unescape(answer.content.decode())


MIX = {
    "code": "W-9",
    "revision": "1",
    "process": "wet",
    "f_c_0": "5,000",
    "f_c_1": "psi",
    "test_age_days": "28",
    "slump_low_0": "2.50",
    "slump_low_1": "in",
    "slump_high_0": "3.5",
    "slump_high_1": "in",
}


def test_a_mix_revision_is_entered_with_its_units(pages):
    status, _ = _post(pages, "add_mix", **MIX)
    assert status == 302
    mix = MixRevision.objects.get(code="W-9")
    assert (str(mix.f_c), mix.f_c_unit) == ("5000", "psi")
    assert (str(mix.slump_low), mix.slump_unit) == ("2.5", "in")


@pytest.mark.parametrize(
    ("wrong", "said"),
    [
        ({"f_c_0": "much"}, "much is not a number; allowed are digits such as 2.50."),
        ({"f_c_0": "-5"}, "-5 psi; allowed is more than 0."),
        ({"f_c_1": "bar"}, "Unit bar; allowed are psi, MPa."),
        ({"slump_high_1": "mm"}, "Unit mm; allowed is in, as in the least."),
        ({"slump_high_0": "1"}, "1 in; allowed is at least 2.50 in."),
        ({"submitted_on": "26-08-19"}, "four-digit year"),
        ({"submitted_on": "2031-01-01"}, "lies ahead; allowed is today"),
        ({"f_c_0": "Infinity"}, "Infinity is not a number"),
        ({"revision": "-1"}, "greater than or equal to 0"),
    ],
)
def test_a_wrong_mix_is_refused_in_words_and_kept_on_the_page(pages, wrong, said):
    before = AuditEvent.objects.count()
    status, page = _post(pages, "add_mix", **(MIX | wrong))
    assert status == 422
    assert said in page
    assert "Nothing was saved" in page
    assert 'value="W-9"' in page
    assert not MixRevision.objects.filter(code="W-9").exists()
    assert AuditEvent.objects.count() == before


def test_the_same_form_sent_twice_makes_one_mix(pages):
    once = MIX | {"id": str(new_id())}
    for _ in range(2):
        status, _ = _post(pages, "add_mix", **once)
        assert status == 302
    assert MixRevision.objects.filter(code="W-9").count() == 1


def test_a_taken_code_is_said_and_nothing_is_saved(pages):
    _post(pages, "add_mix", **MIX)
    status, page = _post(pages, "add_mix", **MIX)
    assert status == 422
    assert "Taken already: another record has this code, revision." in page
    assert MixRevision.objects.filter(code="W-9").count() == 1


def test_the_engineer_approves_once(pages):
    data = {"on": "2026-07-01", "placing_properties_changed": "no"}
    status, _ = _post(pages, "approve_mix", "W-1", 1, **data)
    assert status == 302
    status, page = _post(pages, "approve_mix", "W-1", 1, **data)
    assert status == 422
    assert "approved on 2026-07-01 already" in page


def test_a_departure_makes_the_next_revision_and_keeps_the_earlier_ones(pages):
    first = {
        "term": "core_rounding",
        "value": "rounded",
        "effective_on": "2026-08-01",
        "reason": "section 3.4, agreed at the meeting",
    }
    assert _post(pages, "revise_terms", **first)[0] == 302
    second = first | {"term": "panel_volume", "value": "38", "unit": "m3"}
    assert _post(pages, "revise_terms", **second)[0] == 302
    latest = TermsRevision.objects.order_by("number").last()
    assert latest.number == 3
    assert sorted(latest.facts().departures) == ["core_rounding", "panel_volume"]
    page = pages.client.get(reverse("job_terms", args=[pages.job.code, 3]))
    assert b"agreed at the meeting" in page.content


@pytest.mark.parametrize(
    ("wrong", "said"),
    [
        ({"term": "core_rounding", "value": "nearly"}, "nearly"),
        ({"term": "core_average", "value": "nine"}, "nine is not a number"),
        ({"term": "core_average", "value": "85"}, "from 0.01 to 1"),
        ({"term": "panel_volume", "value": "50", "unit": "psi"}, "psi"),
        ({"term": "continuous_inspection", "value": "maybe"}, "allowed is yes or no"),
    ],
)
def test_a_wrong_term_is_refused_with_what_is_allowed(pages, wrong, said):
    data = {"effective_on": "2026-08-01", "reason": "because", "unit": ""}
    status, page = _post(pages, "revise_terms", **(data | wrong))
    assert status == 422
    assert said in page
    assert TermsRevision.objects.count() == 1


def test_a_part_is_added_and_read_back(pages):
    add_element(id=new_id(), by=pages.admin, code="E1", name="Wall", order=1)
    data = {
        "code": "E1-a",
        "name": "lower lift",
        "position": "vertical",
        "area_0": "418",
        "area_1": "ft2",
        "thickness_0": "10",
        "thickness_1": "in",
        "mix_code": "W-1",
    }
    assert _post(pages, "add_part", "E1", **data)[0] == 302
    page = pages.client.get(reverse("part", args=[pages.job.code, "E1-a"]))
    assert "418" in page.content.decode()
    assert "face not given" in page.content.decode()
    status, text = _post(pages, "add_part", "E1", **(data | {"position": "upside"}))
    assert status == 422
    assert "upside is not one of the available choices" in text
    assert ElementPart.objects.count() == 1


def test_a_person_is_let_in_and_out(pages):
    guest = enter_user(
        id=new_id(), email="guest@firm.example", printed_name="Guest", by=pages.user
    )
    firm = str(pages.firm.pk)
    data = {"role": "owner", "organization": firm, "from_on": "2026-07-01"}
    status, page = _post(pages, "let_in", email="nobody@firm.example", **data)
    assert status == 422
    assert "nobody signs in with this address" in page
    assert _post(pages, "let_in", email="GUEST@firm.example", **data)[0] == 302
    member = Membership.objects.get(user=guest)
    assert _post(pages, "let_out", member.pk, to_on="2026-07-01", reason="")[0] == 422
    status, page = _post(pages, "let_out", member.pk, to_on="2026-06-01", reason="left")
    assert status == 422
    assert "lies before from" in page
    status, _ = _post(pages, "let_out", member.pk, to_on="2026-07-02", reason="left")
    assert status == 302
    member.refresh_from_db()
    assert member.to_on == date(2026, 7, 2)


def test_a_member_let_out_is_a_stranger_the_day_after(pages):
    guest = enter_user(id=new_id(), email="g2@firm.example", printed_name="Guest Two")
    grant_membership(
        id=new_id(),
        by=pages.admin,
        job=pages.job,
        user=guest,
        role=Role.OWNER,
        organization=pages.firm,
        from_on=date(2026, 7, 1),
        to_on=date(2026, 7, 1),
    )
    client = Client()
    client.force_login(guest)
    address = reverse("job_settings", args=[pages.job.code])
    assert client.get(address).status_code == 200
    from datetime import timedelta

    with clock.set_to(START + timedelta(days=1)):
        assert client.get(address).status_code == 404


def test_the_theme_is_kept_and_a_wrong_one_refused(pages):
    assert pages.client.post("/theme/", {"theme": "sun", "next": "/"}).url == "/"
    pages.user.refresh_from_db()
    assert pages.user.theme == "sun"
    answer = pages.client.post("/theme/", {"theme": "neon"})
    assert answer.status_code == 400
    assert b"neon" in answer.content
    away = pages.client.post("/theme/", {"theme": "dark", "next": "//evil.example/"})
    assert away.url == "/"


def test_the_trail_shows_before_and_after_to_its_own_firm(pages):
    _post(pages, "add_mix", **MIX)
    page = pages.client.get(reverse("audit_trail", args=[pages.job.code]))
    assert b"mix.revised" in page.content
    assert b"W-9 rev 1" in page.content


def test_signing_in_needs_the_password_and_says_no_more(db):
    enter_user(
        id=new_id(),
        email="p@firm.example",
        printed_name="P",
        password="a long enough one",
    )
    client = Client()
    wrong = client.post("/sign-in/", {"username": "p@firm.example", "password": "x"})
    unknown = client.post("/sign-in/", {"username": "q@firm.example", "password": "x"})
    assert wrong.status_code == unknown.status_code == 200
    said = "Please enter a correct"
    assert said in wrong.content.decode()
    assert said in unknown.content.decode()
    right = {"username": "P@FIRM.example", "password": "a long enough one"}
    assert client.post("/sign-in/", right).status_code == 302
