"""Terms of the people, the bars, placing, weather, curing and the record."""

from __future__ import annotations

from collections.abc import Mapping

from project.domain.bars import BAR_DIAMETERS
from project.domain.term_kinds import words
from project.domain.term_kinds.shapes import (
    TermKind,
    choice,
    count,
    flag,
    number,
    quantity,
)

_PEOPLE = "Nozzle operators"
_AGAIN = "Qualified again"
_BARS = "Reinforcement"
_PLACING = "Placing"
_WEATHER = "Temperature and weather"
_CURING = "Curing"
_RECORD = "Inspection and record"
_ANGLE = "degrees of a sloped face: 0 looks up, 90 stands, 180 looks down"
_KEPT = "kept and printed; nothing is judged by it yet"

PEOPLE_AND_BARS: Mapping[str, TermKind] = {
    "card_last_day_inclusive": flag(
        _PEOPLE, "A card is good through its printed day", required=True
    ),
    "idle_limit": quantity(
        _PEOPLE,
        "Longest time without shooting",
        "time",
        note="whole days; a mock-up counts as shooting",
    ),
    "idle_per_process": flag(_PEOPLE, "Counted by process"),
    "trainee_ratio": count(_PEOPLE, "Trainees to one supervisor"),
    "trainee_parts": choice(
        _PEOPLE,
        "Trainees may shoot",
        words.NO_PARTS,
        words.MARKED_PARTS,
        required=True,
        note="each part says whether it is marked",
    ),
    "card_vertical_from": number(
        _PEOPLE, "A card for vertical opens faces from", most=180, note=_ANGLE
    ),
    "card_overhead_from": number(
        _PEOPLE, "A card for overhead is asked from", most=180, note=_ANGLE
    ),
    "mockup_vertical_from": number(
        _PEOPLE, "A vertical mock-up stands for faces from", most=180, note=_ANGLE
    ),
    "mockup_overhead_from": number(
        _PEOPLE, "An overhead mock-up is asked from", most=180, note=_ANGLE
    ),
    "requalify_mix_revision": choice(
        _AGAIN,
        "Another mix revision asks for another mock-up",
        words.UNLESS_UNCHANGED,
        words.EACH_REVISION,
        words.NO_REVISION,
    ),
    "requalify_rig": flag(
        _AGAIN,
        "Another rig asks for another mock-up",
        note="unless the engineer accepted it as equivalent",
    ),
    "requalify_position": flag(_AGAIN, "Another position asks for another mock-up"),
    "requalify_harder": flag(
        _AGAIN,
        "Harder reinforcement asks for another mock-up",
        note="larger bars, closer, more curtains, a harder splice, thicker",
    ),
    "requalify_rating": flag(
        _AGAIN,
        "A visual rating that is not acceptable asks for another acceptance",
        note="of a panel of the operator's own, shot with the work",
    ),
    "requalify_failing_sets": count(
        _AGAIN,
        "Failing sets in a row put the question to the engineer",
        note="shuts nothing by itself: the cause is the engineer's to name",
    ),
    "requalify_lapse": flag(
        _AGAIN, "A card that lapsed asks for another acceptance once renewed"
    ),
    "requalify_withdrawal": choice(
        _AGAIN,
        "A mock-up that is rejected after all",
        words.TAKES_BACK,
        words.FROM_ITS_DAY,
    ),
    "bar_clearance": choice(
        _BARS,
        "Clear spacing of bars",
        words.EDITION_CLEARANCE,
        words.MOCK_UP_CLEARANCE,
        note=_KEPT,
    ),
    "largest_bar": choice(
        _BARS,
        "Largest bar without a mock-up",
        *BAR_DIAMETERS,
        note="also what counts as a small bar below",
    ),
    "largest_aggregate": quantity(_BARS, "Largest aggregate", "length"),
    "clear_least": quantity(_BARS, "Clear between parallel bars, least", "length"),
    "clear_diameters": number(
        _BARS,
        "Clear, bar diameters",
        most=100,
        note="one curtain, and the one farther from the nozzle",
    ),
    "clear_nearer_diameters": number(
        _BARS, "Clear, bar diameters, curtain nearer the nozzle", most=100
    ),
    "clear_small_bars": choice(
        _BARS,
        "Small bars keep",
        words.LEAST_ALONE,
        words.LEAST_AND_DIAMETERS,
        note="only the least above, or the larger of it and the bar diameters",
    ),
    "clear_rule": choice(
        _BARS,
        "Bar diameters asked between two curtains are",
        words.CLEAR,
        words.CENTRE,
        note="both are printed with the choice",
    ),
    "lap_rule": choice(
        _BARS,
        "Laps are apart by",
        words.LAP_2_IN,
        words.LAP_3_DIAMETERS,
        words.LAP_LEAST_OF_THREE,
        words.LAP_GREATEST_OF_THREE,
        words.LAP_6_DIAMETERS,
        note="of three: 3 bar diameters, 3 times the aggregate, 2 in",
    ),
}

PLACING: Mapping[str, TermKind] = {
    "pass_vertical": quantity(_PLACING, "Thickest pass, vertical", "length"),
    "pass_overhead": quantity(_PLACING, "Thickest pass, overhead", "length"),
    "thickness_low": quantity(
        _PLACING, "Thickness, least deviation", "length", positive=False
    ),
    "thickness_high": quantity(
        _PLACING, "Thickness, greatest deviation", "length", positive=False
    ),
    "thickness_mean": choice(
        _PLACING,
        "Thickness, mean",
        words.MEAN_NOT_BELOW,
        words.MEAN_NOT_ASKED,
        note="beside the least: a low spot fails under a good mean",
    ),
    "restart_gap": quantity(_PLACING, "An unfinished face may wait", "time"),
    "load_age": quantity(
        _PLACING,
        "Oldest load at its last shot",
        "time",
        note="a mix revision's own limit comes first",
    ),
    "load_age_waivable": flag(
        _PLACING,
        "The limit of a load's age may be waived",
        note="by name, and only before the load's last shot",
    ),
    "concrete_low": quantity(
        _WEATHER, "Coldest concrete", "temperature", positive=False
    ),
    "concrete_high": quantity(
        _WEATHER, "Hottest concrete", "temperature", positive=False
    ),
    "air_low": quantity(_WEATHER, "Coldest air", "temperature", positive=False),
    "air_high": quantity(_WEATHER, "Hottest air", "temperature", positive=False),
    "evaporation_limit": quantity(_WEATHER, "Evaporation", "evaporation"),
    "evaporation_limit_silica_fume": quantity(
        _WEATHER, "Evaporation, silica fume", "evaporation"
    ),
    "evaporation_form": choice(
        _WEATHER,
        "Evaporation is computed by",
        words.US_FORM,
        words.EXACT_METRIC,
        words.ROUNDED_METRIC,
        note="the rounded metric form gives about 4 percent less",
    ),
}

CURING_AND_RECORD: Mapping[str, TermKind] = {
    "moist_first": quantity(_CURING, "Kept moist at once for", "time"),
    "moist_total": quantity(_CURING, "Cured in all", "time"),
    "moist_total_high_early": quantity(
        _CURING, "Cured in all, high early strength cement", "time"
    ),
    "curing_pause": choice(
        _CURING,
        "When curing pauses",
        words.PAUSE_NOT_COUNTED,
        words.PAUSE_BEGINS_AGAIN,
        words.PAUSE_UP_TO,
    ),
    "curing_pause_most": quantity(
        _CURING,
        "A pause is as continuous up to",
        "time",
        note="only where the line above says so",
    ),
    "protection": quantity(_CURING, "Kept from cold for", "time"),
    "protection_above": quantity(_CURING, "Kept above", "temperature", positive=False),
    "continuous_inspection": flag(
        _RECORD, "The inspector is there while anybody shoots", required=True
    ),
    "round_interval": quantity(_RECORD, "A walking round at least each", "time"),
    "report_sign_within": count(
        _RECORD,
        "A report is signed within work days",
        least=0,
        note="0: by the end of the work day itself; 1: of the next one",
    ),
    "associate_signs_alone": flag(
        _RECORD, "An associate-level inspector may sign alone", required=True
    ),
    "ncr_response": quantity(
        _RECORD, "A nonconformance report is answered within", "time"
    ),
    "packet_prepared_by": choice(
        _RECORD, "The packet is prepared by", words.AGENCY, required=True
    ),
}
