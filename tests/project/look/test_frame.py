"""The frame draws what it is given and leaves out the rest."""

from __future__ import annotations

from datetime import UTC, datetime
from pathlib import Path
from types import SimpleNamespace

import pytest
from django.forms import CharField, Form
from django.template.loader import render_to_string
from reportlab.pdfbase.ttfonts import TTFont

from project.domain.units import Quantity
from project.domain.verdict import Known, Reason, Ref, Source, State, Verdict
from project.domain.working import Named, Step, Working

FACES = Path(__file__).parents[3] / "inspections" / "packet" / "fonts"


@pytest.mark.parametrize(
    "name", ["400.html", "403.html", "403_csrf.html", "404.html", "500.html"]
)
def test_error_pages_need_no_context_at_all(name):
    page = render_to_string(name)
    assert '<html lang="en"' in page
    assert 'data-theme="auto"' in page
    assert "<h1>" in page
    assert "<nav" not in page


def test_frame_names_the_job_its_time_and_the_person():
    job = SimpleNamespace(name="Job", contract_number="C-1", zone="America/Denver")
    person = SimpleNamespace(
        printed_name="A. Person", is_authenticated=True, theme="sun"
    )
    page = render_to_string(
        "404.html",
        {
            "job": job,
            "user": person,
            "member": SimpleNamespace(user=person, role="inspector"),
            "now": datetime(2026, 9, 14, 15, 10, tzinfo=UTC),
            "index_tabs": [
                {"word": "Today", "url": "/t", "note": "5 need you", "current": True},
                {"word": "Days", "url": "/d", "note": "", "current": False},
            ],
        },
    )
    assert 'data-theme="sun"' in page
    assert "Mon 14 Sep 2026, 09:10" in page
    assert "5 need you" in page
    assert page.count('aria-current="page"') == 1


def test_form_says_how_many_entries_need_another_look_and_keeps_them():
    class Pair(Form):
        first = CharField(max_length=3)
        second = CharField()

    form = Pair({"first": "typed too long", "second": ""})
    page = render_to_string("project/_form.html", {"form": form, "action_word": "Save"})
    assert "2 entries need another look." in " ".join(page.split())
    assert 'value="typed too long"' in page


def test_verdict_shows_met_and_unmet_reasons_with_their_source():
    source = Source("Terms", "4.2", "", Known.CONTRACT)
    reasons = (
        Reason("card", "Card covers overhead", State.FAIL, "Vertical only", source),
        Reason("idle", "Active", State.PASS, "Yes", source, evidence=(Ref("x", "1", "PL-1"),)),
    )  # fmt: skip
    page = render_to_string(
        "project/_verdict.html",
        {
            "verdict": Verdict(State.FAIL, "rule", reasons),
            "stamp": "not qualified",
            "urls": {"1": "/pl-1"},
        },
    )
    assert page.count("Terms, 4.2 (contract)") == 2
    assert "not met:" in page
    assert '<a href="/pl-1">' in page


def test_working_parts_each_step_from_its_result():
    from decimal import Decimal

    def psi(n: str) -> Quantity:
        return Quantity(Decimal(n), "psi")

    working = Working(
        "Mean",
        (Named("core 1", psi("3920.5")),),
        (Step("Mean of the set", "(3,920.5 + 3,309.4) / 2 = 3,614.95 psi"),),
        psi("3614.95"),
        psi("3610"),
        "to 10 psi",
    )
    page = render_to_string("project/_working.html", {"working": working})
    assert '<p class="line">(3,920.5 + 3,309.4) / 2</p>' in page
    assert "<b>3,614.95 psi</b>" in page


@pytest.mark.parametrize(
    "name",
    ["Tevita Ma'ukilo", "Grzegorz Pilarzyk", "Łukasz Śliwiński", "Nguyễn Bảo Châu"],
)
def test_each_name_can_be_set_whole_in_one_face_of_the_packet(name):
    able = [
        path.stem
        for path in FACES.glob("*.ttf")
        if {ord(c) for c in name}
        <= TTFont(path.stem, str(path)).face.charToGlyph.keys()
    ]
    assert "DejaVuSansCondensed" in able
    assert ("AtkinsonHyperlegibleNext-Regular" in able) == ("ễ" not in name)


def test_digits_of_the_packets_faces_are_of_one_width():
    for path in FACES.glob("*.ttf"):
        face = TTFont(path.stem, str(path)).face
        assert len({face.charWidths[ord(digit)] for digit in "0123456789"}) == 1, path
