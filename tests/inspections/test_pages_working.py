"""The pages of worked figures, as a member without script asks them."""

from __future__ import annotations

import re
from urllib.parse import parse_qsl

import pytest
from django.http import QueryDict

from inspections.domain.calculation_list import by_subject
from inspections.domain.calculations import CALCULATIONS
from inspections.forms.working_address import example_address
from project.domain.roles import Role
from project.models import AuditEvent
from tests.crews.pages import Visitor, words
from tests.support.every_kind import EVERY_KIND

CORE = {
    "d1": "3.00", "d1.unit": "in", "d2": "3.00", "d2.unit": "in", "length": "3.60",
    "length.unit": "in", "load": "30,000", "load.unit": "lbf",
}  # fmt: skip


@pytest.fixture
def visitor(wall) -> Visitor:
    return Visitor(wall.inspector, at="2026-08-20 09:00")


@pytest.fixture
def every_kind(monkeypatch) -> None:
    """Put a calculation that takes every kind of input on the shelf."""
    shelf = {**CALCULATIONS, EVERY_KIND.name: EVERY_KIND}
    monkeypatch.setattr("inspections.views.working.CALCULATIONS", shelf)


def example(name: str) -> dict[str, str]:
    calculation = {**CALCULATIONS, EVERY_KIND.name: EVERY_KIND}[name]
    return dict(parse_qsl(example_address(calculation, zone="America/Denver")))


def test_the_list_stands_in_its_order_and_every_member_may_read_it(wall):
    for role in Role:
        if role not in wall.site.members:
            continue
        page = Visitor(wall.site.members[role], at="2026-08-20 09:00").get("workings")
        assert page.status_code == 200
    said = words(page)
    places = [
        said.index(f"{each.title} {each.says}"[:60])
        for _, under in by_subject(CALCULATIONS.values())
        for each in under
    ]
    assert places == sorted(places)
    assert said.index("Work a figure") < places[0]


def test_a_figure_is_shown_with_its_working_and_the_terms_it_was_made_under(visitor):
    page = visitor.get("working", "core-strength", **CORE)
    assert page.status_code == 200
    said = words(page)
    assert "Reported 3,900 psi" in said
    assert "First diameter 3.00 in" in said
    assert "This contract's terms, revision 1, from IBC 2018 s.1908" in said
    assert "Changed for this figure" not in said
    assert page.context["answer"].first is not None


def test_a_changed_setting_is_named_with_the_figure(visitor):
    asked = CORE | {"length": "5.4", "settings.ld_limit": "under 1.94"}
    page = visitor.get("working", "core-strength", **asked)
    said = words(page)
    assert "Changed for this figure: Corrected where length over diameter is" in said
    assert page.context["changed"][0]["used"].value == "under 1.94"
    other = visitor.get("working", "core-strength", **(CORE | {"length": "5.4"}))
    changed, own = (p.context["answer"].first.exact for p in (page, other))
    assert changed.value < own.value  # L/D 1.80 is corrected under one limit only


def test_an_edition_stands_instead_of_the_contract(visitor):
    page = visitor.get("working", "core-strength", **CORE, edition="ibc-2009-1913")
    said = words(page)
    assert "This contract's terms, revision" not in said
    assert "IBC 2009" in said


@pytest.mark.parametrize("name", CALCULATIONS)
def test_each_calculation_has_a_page_and_its_example_a_figure(visitor, name):
    blank = visitor.get("working", name)
    assert blank.status_code == 200
    link = re.search(r'href="\?([^"]*)#the-figure"', blank.content.decode())
    assert link is not None
    asked = dict(parse_qsl(link[1].replace("&amp;", "&")))
    page = visitor.get("working", name, **asked)
    assert page.status_code == 200
    answer = page.context["answer"]
    assert answer.figures or answer.verdict or answer.words
    said = words(page)
    for working in answer.figures.values():
        assert working.title in said.replace("&quot;", '"').replace("&amp;", "&")


@pytest.mark.parametrize(
    ("change", "said"),
    [
        ({"d1": "NaN"}, "NaN in; allowed is a number above 0"),
        ({"d1": "1e999"}, "1e999 in; allowed is a number above 0"),
        ({"d1": "1e999999999"}, "1e999999999 in; allowed is a number above 0"),
        ({"d1": "40"}, "40 in; allowed is a number above 0"),
        ({"d1": "0"}, "0 in; allowed is a number above 0"),
        ({"d1": "-3"}, "-3 in; allowed is a number above 0"),
        ({"d1": "3", "d1.unit": "psi"}, "3 psi; allowed is a number above 0"),
        ({"d1": ""}, "not given; needed is a number above 0"),
        ({"d1": "9" * 1000}, "9" * 60 + "…; allowed is a number above 0"),
        ({"edition": "nobody's"}, "nobody's; allowed are "),
        ({"settings.ld_limit": "2"}, "2; allowed is one of 1.75 or less, under 1.94"),
        ({"lenght": "2"}, "lenght: nothing of this name is asked"),
        ({"d1": "<script>x</script>"}, "&lt;script&gt;x&lt;/script&gt; in; allowed"),
    ],
)
def test_a_wrong_input_is_told_at_its_box_and_kept(visitor, change, said):
    asked = CORE | change
    page = visitor.get("working", "core-strength", **asked)
    assert page.status_code == 422
    assert said in words(page)
    assert "need another look" in words(page) or "needs another look" in words(page)
    assert "answer" not in page.context
    html = page.content.decode()
    assert "<script>" not in html
    assert 'value="3.60"' in html  # what was typed elsewhere is still there


def test_a_calculation_there_is_none_of_is_not_found(visitor):
    assert visitor.get("working", "core-strenght").status_code == 404
    assert visitor.get("working", "x" * 500).status_code == 404


def test_a_table_grows_and_keeps_what_was_typed(visitor, every_kind):
    asked = example("every-kind")
    page = visitor.get("working", "every-kind", **asked, more="rows")
    assert page.status_code == 200
    assert "answer" not in page.context
    html = page.content.decode()
    assert 'value="76 mm"' in html
    assert 'name="rows.8.wide"' in html
    assert 'name="rows.9.wide"' not in html
    made = visitor.get("working", "every-kind", **asked)
    assert "The figure" not in words(made)
    assert made.context["answer"].verdict is not None
    assert "Not all of it." in words(made)
    assert "Nobody is to trust this." in words(made)


def test_paper_has_every_input_though_the_form_does_not_stand_there(
    visitor, every_kind
):
    asked = example("every-kind") | {"note": "by hand", "day": "2026-08-13"}
    html = visitor.get("working", "every-kind", **asked).content.decode()
    (paper,) = re.findall(r'<section class="print-only".*?</section>', html, re.S)
    for typed in ("4500 psi", "2026-08-13T07:10", "America/Denver", "by hand", "76 mm"):
        assert typed in re.sub(r"\s+", " ", paper)
    assert '<div class="left screen-only">' in html


def test_a_fault_of_a_row_names_row_and_column(visitor, every_kind):
    asked = example("every-kind") | {"rows.2.wide": "40", "rows.3.times": "0"}
    said = words(visitor.get("working", "every-kind", **asked))
    assert "row 2, Width: 40 in; allowed is a number above 0 and at most 12 in" in said
    assert "row 3, How often: 0; allowed is a whole number at least 1" in said
    assert "row 3, Width: not given; needed is" in said


def test_too_many_rows_are_refused_by_name(visitor, every_kind):
    many = {f"rows.{n}.wide": "3" for n in range(1, 200)}
    page = visitor.get("working", "every-kind", **(example("every-kind") | many))
    assert page.status_code == 422
    assert "row 199; allowed on this page are 60 rows" in words(page)


def test_an_address_of_thousands_of_rows_is_refused_before_it_is_read(
    visitor, every_kind
):
    many = {f"rows.{n}.wide": "3" for n in range(1, 5000)}
    page = visitor.get("working", "every-kind", **many)
    assert page.status_code == 400


def test_nothing_is_stored_by_asking(visitor, wall):
    before = AuditEvent.objects.filter(stream=wall.job.stream).count()
    visitor.get("working", "core-strength", **CORE)
    visitor.get("working", "core-strength", d1="x")
    assert AuditEvent.objects.filter(stream=wall.job.stream).count() == before


def test_a_form_says_what_each_box_is_and_what_is_wrong_with_it(visitor):
    html = visitor.get(
        "working", "core-strength", **(CORE | {"d1": "40"})
    ).content.decode()
    boxes = re.findall(
        r'<(?:input|select)[^>]*\bname="([^"]+)"[^>]*\bid="([^"]+)"', html
    )
    assert boxes
    for name, ident in boxes:
        assert name == ident
        assert f'<label class="form-label" for="{ident}"' in html
    (bad,) = re.findall(r'<input[^>]*aria-invalid="true"[^>]*>', html)
    described = re.search(r'aria-describedby="([^"]+)"', bad)
    assert described is not None
    assert f'id="{described[1]}"' in html


def test_the_menu_and_the_job_lead_to_it(visitor):
    url = visitor.url("workings")
    for page in ("today", "job_settings", "strength"):
        assert f'href="{url}"' in visitor.get(page).content.decode()


def test_a_job_without_terms_in_force_asks_for_an_edition(wall, every_kind):
    early = Visitor(wall.inspector, at="2026-06-15 09:00")
    page = early.get("working", "core-strength", **CORE)
    assert page.status_code == 422
    assert "no terms are in force on that date: choose an edition" in words(page)
    assert "not given; needed is one of" in words(page)
    chosen = early.get("working", "core-strength", **CORE, edition="ibc-2018-1908")
    assert chosen.status_code == 200


def test_an_address_keeps_every_key_of_the_example():
    address = example_address(EVERY_KIND, zone="America/Denver")
    assert QueryDict(address)["rows.2.wide"] == "76 mm"
