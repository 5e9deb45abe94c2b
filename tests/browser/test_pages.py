"""Every kind of page, at both sizes and in each theme, without a barrier."""

from __future__ import annotations

import pytest

JOB = "/jobs/OV-2617"
PAGES = (
    ("farrukh", "/"),
    ("farrukh", "/days/"),
    ("farrukh", "/sheets/8/"),
    ("farrukh", "/deficiencies/"),
    ("farrukh", "/reports/2/"),
    ("bohumil", "/operators/"),
    ("bohumil", "/operators/OP-03/"),
    ("bohumil", "/crews/"),
    ("bohumil", "/panels/"),
    ("bohumil", "/panels/TP-008/"),
    ("hana", "/strength/"),
    ("otso", "/laboratory/"),
    ("esperanza", "/packets/2/0/"),
    ("wendeline", "/book/"),
    ("wendeline", "/book/terms/2/"),
    ("wendeline", "/book/trail/"),
    ("panagiota", "/packets/"),
    ("ysolde", "/"),
)


@pytest.mark.parametrize("tablet", [False, True], ids=["desk", "tablet"])
@pytest.mark.parametrize(("who", "path"), PAGES)
def test_a_page_has_no_barrier(visit, who, path, tablet):
    seen = visit(who, tablet=tablet)
    seen.open(JOB + path)
    seen.look()


@pytest.mark.parametrize("theme", ["sun", "dark"])
@pytest.mark.parametrize("path", ["/operators/", "/panels/TP-008/", "/sheets/8/"])
def test_a_theme_brings_no_barrier(visit, path, theme):
    seen = visit("farrukh")
    page = seen.open(JOB + path)
    page.evaluate(f"document.documentElement.dataset.theme = '{theme}'")
    assert seen.barriers() == []


def test_a_planted_barrier_is_found(visit):
    """A check that cannot fail is none: axe must find what is put there."""
    seen = visit("farrukh")
    page = seen.open(f"{JOB}/days/")
    page.evaluate("document.querySelector('main').append(new Image())")
    assert any(found.startswith("image-alt") for found in seen.barriers())
