"""The observation catalogue: its content, its reading, and which items a walk asks."""

import copy
import re
from collections import Counter
from pathlib import Path

import pytest

import inspections
from inspections.domain.catalogue import (
    HEARTS,
    AnsweredBy,
    Need,
    Phase,
    RoundKind,
    Severity,
    features_of,
    items_for,
)
from inspections.domain.catalogue_reading import CatalogueError, digest, parse_edition
from inspections.queries.catalogue import CURRENT, PINNED, edition, plain
from project.domain.shooting_words import Position, Process
from tests.support.scenario import SCENARIO

ALL = features_of([need.value for need in Need if need is not Need.ALWAYS])
NONE_PRESENT = features_of([])


def keys(**given):
    given = {
        "kinds": [RoundKind.ROUND],
        "process": Process.WET,
        "position": Position.VERTICAL,
        "features": ALL,
    } | given
    return [item.key for item in items_for(edition(), **given)]


def test_edition_has_sixty_questions_and_three_computed_lines():
    by = Counter(item.answered_by for item in edition().items)
    assert sum(by.values()) == 63
    assert by[AnsweredBy.COMPUTED] == 3
    assert by[AnsweredBy.CHOICE] + by[AnsweredBy.MEASURE] == 60
    computed = {item.key for item in edition().items if not item.asked}
    assert computed == {"mat-load-age", "place-restart-gap", "cure-evaporation"}


def test_hearts_are_the_four():
    assert {item.key for item in edition().items if item.heart} == set(HEARTS)
    assert len(HEARTS) == 4
    # settled for this product: hearts are put right within minutes, not stop-work
    for key in HEARTS:
        item = edition().item(key)
        assert item.severity is Severity.CORRECT_NOW
        assert item.severity_now(again=True) is Severity.STOP_WORK
        assert item.severity_now(again=False) is Severity.CORRECT_NOW
        assert not item.groupable


def test_no_text_carries_a_number():
    for item in edition().items:
        for words in (
            item.title,
            item.prompt,
            item.look,
            item.good,
            item.bad,
            item.why,
        ):
            assert not re.search(r"\d", words.en + words.es), (item.key, words)


@pytest.mark.parametrize(
    ("field", "most"), [("title", 28), ("prompt", 85), ("good", 140), ("bad", 140)]
)
def test_texts_fit_their_places_in_both_languages(field, most):
    for item in edition().items:
        words = getattr(item, field)
        for language in ("en", "es"):
            text = words.in_language(language)
            assert 0 < len(text) <= most, (item.key, language, text)


def test_content_is_the_pinned_content():
    # A changed word is a new edition: this digest was written down at its release.
    head, pages = plain("1.0.0")
    expected = "be8df133530cb56068da4f6bf51bfd12952500bf553e39e86218296797732519"
    assert digest(head, pages=pages) == expected == PINNED["1.0.0"]
    assert CURRENT in PINNED


def test_one_changed_word_changes_the_digest():
    head, pages = plain("1.0.0")
    changed = copy.deepcopy(pages)
    changed[0]["items"][0]["why_es"] += "!"
    assert digest(head, pages=changed) != digest(head, pages=pages)


def test_unknown_edition_is_refused_by_name():
    with pytest.raises(ValueError, match=r"'2\.0\.0': allowed are 1\.0\.0"):
        edition("2.0.0")


def test_edition_files_stay_readable():
    for path in (Path(inspections.__file__).parent / "catalogue").rglob("*.yaml"):
        assert len(path.read_text().splitlines()) <= 300, path


@pytest.mark.parametrize("process", Process)
@pytest.mark.parametrize("position", Position)
def test_a_walk_asks_at_most_nineteen_questions(process, position):
    for kind in RoundKind:
        found = keys(kinds=[kind], process=process, position=position)
        assert 1 <= len(found) <= 19, (kind, found)


def test_dry_items_are_not_asked_on_wet_work():
    wet, dry = keys(), keys(process=Process.DRY)
    assert "mat-hydration-clock" in dry
    assert "mat-hydration-clock" not in wet
    assert "place-dry-spots" in dry
    assert "mat-slump" in keys(kinds=[RoundKind.LOAD])
    assert "mat-slump" not in keys(kinds=[RoundKind.LOAD], process=Process.DRY)


def test_overhead_items_show_overhead_and_while_unclassified_only():
    shown = {p: "place-fall-zone" in keys(position=p) for p in Position}
    assert [p for p, there in shown.items() if there] == [
        Position.OVERHEAD,
        Position.UNCLASSIFIED,
    ]
    assert "place-fall-zone" in keys(position=None)


def test_a_feature_known_to_be_absent_hides_its_items():
    assert "place-encasement" in keys(features=features_of(["bars"]))
    assert "place-encasement" not in keys(features=NONE_PRESENT)


def test_a_feature_nobody_stated_shows_its_items():
    assert "place-encasement" in keys(features={})
    assert "place-encasement" not in keys(features={Need.BARS: False})


def test_unknown_process_shows_wet_and_dry():
    found = keys(kinds=[RoundKind.SHIFT], process=None)
    assert {"equip-water-pressure", "mat-predampen"} <= set(found)


def test_kinds_of_one_walk_add_up_in_the_editions_order():
    both = keys(kinds=[RoundKind.LAYER, RoundKind.ROUND])
    order = [item.key for item in edition().items]
    assert both == sorted(both, key=order.index)
    assert set(both) == set(keys()) | set(keys(kinds=[RoundKind.LAYER]))


def test_computed_lines_are_never_asked():
    for kind in RoundKind:
        assert not {"mat-load-age", "place-restart-gap", "cure-evaporation"} & set(
            keys(kinds=[kind])
        )


def test_a_round_without_a_kind_is_refused():
    with pytest.raises(ValueError, match="at least one of element, shift"):
        keys(kinds=[])


def test_unknown_feature_is_refused():
    with pytest.raises(ValueError, match="feature 'colour': allowed are accelerator"):
        features_of(["colour"])


def test_every_item_the_scenario_answers_exists_and_belongs_to_its_round():
    rounds = [r for p in SCENARIO["placements"] for r in p["rounds"]]
    rounds += SCENARIO["late_rounds"]
    assert len(rounds) > 190
    for one in rounds:
        for answer in one["answers"]:
            assert edition().item(answer["item"]).kind in one["kind"], answer
    for deficiency in SCENARIO["deficiencies"]:
        assert edition().has(deficiency["item"])


def test_every_phase_and_kind_has_items():
    assert {item.phase for item in edition().items} == set(Phase)
    assert {item.kind for item in edition().items} == set(RoundKind)


def test_the_engineers_re_entry_value_is_never_compared():
    # settled: the product compares nothing with a re-entry strength
    assert edition().item("place-reentry-strength").limited is False


def test_missing_key_names_item_and_edition():
    with pytest.raises(KeyError, match="daily-observation 1"):
        edition().item("place-nothing")


def broken(change):
    head, pages = plain("1.0.0")
    head, pages = copy.deepcopy(head), copy.deepcopy(pages)
    change(head, pages)
    with pytest.raises(CatalogueError) as caught:
        parse_edition(head, pages=pages)
    return str(caught.value)


def first(pages):
    return pages[0]["items"][0]


@pytest.mark.parametrize(
    ("change", "said"),
    [
        (lambda h, p: first(p)["weight"].update(severity="urgent"),
         "prep-hold-release: severity: 'urgent': allowed are advisory, correct_now"),
        (lambda h, p: first(p).pop("why_es"), "item: why_es missing"),
        (lambda h, p: first(p).update(sketch="x"), "item: sketch not known here"),
        (lambda h, p: first(p).update(title=" Hold"), "title: ' Hold' must be text"),
        (lambda h, p: first(p).update(prompt="Gap over 3 in?"),
         "prompt carries a number"),
        (lambda h, p: first(p)["answer"].update(groupable=True),
         "groupable must be false"),
        (lambda h, p: first(p)["answer"].update(groupable="yes"),
         "groupable: 'yes': allowed are true, false"),
        (lambda h, p: first(p)["answer"].update(by="measure"), "a reading needs a unit"),
        (lambda h, p: p[0]["items"][1]["answer"].update(
            by="computed", unit="min", groupable=False),
         "must name its records"),
        (lambda h, p: first(p)["answer"].update(unit="furlong"), "unit: 'furlong'"),
        (lambda h, p: first(p)["asked"].update(position="unclassified"),
         "say any, or a position"),
        (lambda h, p: first(p).update(key="mat-hold"), "beginning with prep-"),
        (lambda h, p: first(p)["causes"].append("More"), "has 4 in English, 3 in Spanish"),
        (lambda h, p: first(p).update(causes=[]), "a list with something in it"),
        (lambda h, p: p[0]["items"].append(first(p)), "given twice: prep-hold-release"),
        (lambda h, p: p[0].update(items=[]), "page prep: items must be a list"),
        (lambda h, p: first(p)["weight"].update(heart=True), "hearts "),
        (lambda h, p: h.update(languages=["en"]), "languages ('en',)"),
        (lambda h, p: h["kinds"].pop("visit"), "kinds: visit missing"),
        (lambda h, p: p.append("text"), "page: must be a set of names and values"),
    ],
)  # fmt: skip
def test_a_slip_in_the_files_is_named(change, said):
    assert said in broken(change)
