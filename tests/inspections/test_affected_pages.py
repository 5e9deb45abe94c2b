"""Affected work on pages and in the terminal; what was frozen beside what is known."""

from __future__ import annotations

from io import StringIO

import pytest
from django.core.management import CommandError, call_command
from django.test import Client
from django.urls import reverse

from crews.actions.nozzle import take_nozzle
from crews.models import Certification
from inspections.models import ReportVersion
from project import clock
from project.models import new_id
from tests.inspections.hands import correct_card, shot, sign
from tests.inspections.wall import DAY, at

LATER = "2026-08-18 09:00"


def _page(wall, member, **asked):
    client = Client()
    client.force_login(member.user)
    return client.get(reverse("affected", args=[wall.job.code]), asked)


def test_the_page_names_the_field_the_value_and_what_is_allowed(qualified):
    wrong = {
        "since": ("2026-08-32", "2026-08-32 is not a date and time"),
        "until": ("2031-01-01", "lies ahead"),
        "fact": ("card", "This names no record"),
    }
    for name, (value, words) in wrong.items():
        answer = _page(qualified, qualified.inspector, **{name: value})
        assert answer.status_code == 422
        assert words in answer.content.decode()
    turned_round = {"since": f"{DAY} 12:00", "until": f"{DAY} 11:00"}
    answer = _page(qualified, qualified.inspector, **turned_round)
    assert answer.status_code == 422
    assert "allowed is later than" in answer.content.decode()


def test_the_page_of_one_fact_shows_its_line_and_links_what_comes_next(qualified):
    held = shot(qualified)
    row = correct_card(qualified)
    with clock.set_to(at("2026-08-18 10:00")):
        answer = _page(qualified, qualified.inspector, fact=row.pk)
        text = answer.content.decode()
        address = reverse("raise_nonconformance", args=[qualified.job.code])
        assert f"{address}?about={held.first}" in text
        client = Client()
        client.force_login(qualified.inspector.user)
        form = client.get(f"{address}?about={held.first}").content.decode()
        assert "not in force on 2026-08-11" in form
        elsewhere = _page(qualified, qualified.inspector, fact=new_id())
        assert "No conclusion on record reads otherwise" in elsewhere.content.decode()
        owner = _page(qualified, qualified.owner).content.decode()
        assert address not in owner  # reads, and raises nothing


def _read(member, page, *args):
    client = Client()
    client.force_login(member.user)
    address = reverse(page, args=[member.job.code, *args])
    return " ".join(client.get(address).content.decode().split())


def test_frozen_and_known_since_stand_side_by_side_where_they_differ(qualified):
    shot(qualified)
    since = "with what is known since: <b>not qualified on record</b>"
    pages = [("shift", qualified.shift.first), ("operator", "OP-01")]
    with clock.set_to(at("2026-08-18 08:00")):
        for page in pages:
            assert "with what is known since" not in _read(qualified.inspector, *page)
    correct_card(qualified)
    with clock.set_to(at("2026-08-18 10:00")):
        for page in pages:
            assert since in _read(qualified.inspector, *page)
            assert "not in force on 2026-08-11" in _read(qualified.inspector, *page)


def test_a_signed_sheet_keeps_its_words_and_shows_what_is_known_since(qualified):
    shot(qualified)
    with clock.set_to(at("2026-08-11 16:00")):
        version = sign(qualified)
    correct_card(qualified)
    with clock.set_to(at("2026-08-18 10:00")):
        text = _read(qualified.owner, "report", qualified.report.number)
        kept = ReportVersion.objects.get(pk=version.pk)
    assert "with what is known since: <b>not qualified on record</b>" in text
    assert kept.content == version.content
    (line,) = kept.content["placed"][0]["nozzle_times"]
    assert line["standing"]["state"] == "pass"


def test_a_shift_is_read_as_it_was_known_then(qualified):
    shot(qualified)
    correct_card(qualified)
    client = Client()
    client.force_login(qualified.owner.user)
    address = reverse("shift", args=[qualified.job.code, qualified.shift.first])
    with clock.set_to(at("2026-08-18 10:00")):
        then = client.get(address, {"known": "2026-08-18 08:59"}).content.decode()
        now = client.get(address, {"known": "2026-08-18 09:00"}).content.decode()
        wrong = client.get(address, {"known": "2031-01-01"})
    assert "with what is known since" not in then
    assert "with what is known since" in now
    assert wrong.status_code == 422
    assert "lies ahead" in wrong.content.decode()


def test_what_the_tablet_showed_stays_beside_what_the_server_concluded(qualified):
    correct_card(qualified, when=f"{DAY} 07:30")
    with clock.set_to(at(f"{DAY} 12:00")):
        take_nozzle(
            id=new_id(),
            by=qualified.inspector,
            placement=qualified.placement,
            operator=qualified.operator,
            at=at(f"{DAY} 08:00"),
            known_at=at(f"{DAY} 06:50"),
            shown_state={"state": "condition", "kit": "tablet 2"},
        )
        text = _read(qualified.inspector, "shift", qualified.shift.first)
    assert "the tablet showed: qualified on record under a condition, tablet 2" in text
    assert "judged as known" in text
    assert "06:50" in text
    assert "with what is known since: <b>not qualified on record</b>" in text


def test_a_corrected_card_leads_to_what_it_affects(qualified):
    shot(qualified)
    old = Certification.objects.get(operator=qualified.operator)
    client = Client()
    client.force_login(qualified.qc.user)
    with clock.set_to(at(LATER)):
        address = reverse("correct_card", args=[qualified.job.code, "OP-01", old.pk])
        form = client.get(address).context["form"]
        sent = {name: form[name].value() for name in form.fields}
        sent |= {
            "id": str(new_id()),
            "expires_on": "2026-08-10",
            "reason": "year mistyped",
        }
        sent = {name: value for name, value in sent.items() if value is not None}
        answer = client.post(address, sent, follow=True)
        made = Certification.objects.get(supersedes=old)
        link = reverse("affected", args=[qualified.job.code]) + f"?fact={made.pk}"
        assert link in answer.content.decode()
        page = " ".join(client.get(link).content.decode().split())
    assert "1 nozzle time is affected by this record." in page


@pytest.mark.parametrize(
    ("asked", "words"),
    [
        (["NO-1", "--since", "2026-08-20"], "job 'NO-1': there is none"),
        (["TW-1", "--since", "yesterday"], "--since 'yesterday': yesterday is not"),
        (["TW-1", "--since", ""], "--since '': allowed is 2026-08-24 07:00"),
        (["TW-1", "--since", "2026-08-01", "--until", "2026-07-01"], "allowed is"),
        (["TW-1", "--since", "2031-08-01"], "lies ahead"),
        (["TW-1", "--since", "2026-03-08 02:30"], "was never on the clock"),
    ],
)
def test_the_command_refuses_a_wrong_job_or_instant(wall, asked, words):
    with pytest.raises(CommandError, match=words.replace("?", "")):
        call_command("affected", *asked, stdout=StringIO())
