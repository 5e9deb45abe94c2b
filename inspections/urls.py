"""The pages of what was seen: today, days, sheets, deficiencies, packets."""

from __future__ import annotations

from django.urls import path

from inspections.views import (
    affected,
    amending,
    corrections,
    days,
    deficiencies,
    entries,
    letters,
    nonconformances,
    nozzle,
    packets,
    photographs,
    placing,
    rolling_record,
    rounds,
    sheets,
    shifts,
    signing,
    today,
    working,
)

_ENTRY = "sheets/<int:number>/entries/<str:kind>/<uuid:entry>"

_PACKET = "packets/<int:number>/<int:revision>"

urlpatterns = [
    path("", today.today, name="today"),
    path("days/", days.days, name="days"),
    path("shifts/<uuid:shift>/", shifts.shift, name="shift"),
    path("shifts/<uuid:shift>/sheet/", sheets.open_sheet, name="open_sheet"),
    path(
        "operators/<str:code>/hours/letter.pdf",
        letters.hours_letter,
        name="hours_letter",
    ),
    path("placements/<str:code>/", placing.placement, name="placement"),
    path("placements/<str:code>/waste/", placing.record_waste, name="record_waste"),
    path("placements/<str:code>/take/", nozzle.take_nozzle, name="take_nozzle"),
    path("sheets/<int:number>/", sheets.report, name="report"),
    path(
        "sheets/<int:number>/versions/<int:n>/",
        sheets.report_version,
        name="report_version",
    ),
    path("sheets/<int:number>/void/", sheets.void_sheet, name="void_sheet"),
    path("sheets/<int:number>/sign/", signing.sign_sheet, name="sign_sheet"),
    path("sheets/<int:number>/review/", signing.review_sheet, name="review_sheet"),
    path("sheets/<int:number>/flags/clear/", signing.clear_flag, name="clear_flag"),
    path("sheets/<int:number>/amend/", amending.amend_sheet, name="amend_sheet"),
    path(
        "sheets/<int:number>/amend/<str:kind>/<uuid:entry>/<str:act>/",
        amending.amend_entry,
        name="amend_entry",
    ),
    path("sheets/<int:number>/weather/", entries.record_weather, name="record_weather"),
    path("sheets/<int:number>/loads/", entries.record_load, name="record_load"),
    path(
        "sheets/<int:number>/loads/<uuid:load>/finish/",
        entries.finish_load,
        name="finish_load",
    ),
    path(
        "sheets/<int:number>/loads/<uuid:load>/tests/",
        entries.record_test,
        name="record_test",
    ),
    path(
        "sheets/<int:number>/readings/",
        entries.record_readings,
        name="record_readings",
    ),
    path("sheets/<int:number>/remarks/", entries.add_remark, name="add_remark"),
    path(
        "sheets/<int:number>/photographs/",
        photographs.add_photograph,
        name="add_photograph",
    ),
    path(
        "sheets/<int:number>/deficiencies/",
        deficiencies.open_deficiency,
        name="open_deficiency",
    ),
    path("sheets/<int:number>/walk/", rounds.walk, name="walk"),
    path(
        "sheets/<int:number>/walks/<uuid:walked>/",
        rounds.correct_round,
        name="correct_round",
    ),
    path("walks/late/", rounds.walk_late, name="walk_late"),
    path(f"{_ENTRY}/correct/", corrections.correct_entry, name="correct_entry"),
    path(f"{_ENTRY}/withdraw/", corrections.withdraw_entry, name="withdraw_entry"),
    path(
        "photographs/<int:number>/<int:longest>/",
        photographs.photograph,
        name="photograph",
    ),
    path("deficiencies/", deficiencies.deficiencies, name="deficiencies"),
    path("deficiencies/late/", deficiencies.open_late, name="open_late_deficiency"),
    path("deficiencies/<int:number>/", deficiencies.deficiency, name="deficiency"),
    path(
        "deficiencies/<int:number>/<slug:move>/",
        deficiencies.move_deficiency,
        name="move_deficiency",
    ),
    path("reports/", nonconformances.nonconformances, name="nonconformances"),
    path(
        "reports/raise/",
        nonconformances.raise_nonconformance,
        name="raise_nonconformance",
    ),
    path(
        "reports/<int:number>/", nonconformances.nonconformance, name="nonconformance"
    ),
    path(
        "reports/<int:number>/<slug:move>/",
        nonconformances.move_nonconformance,
        name="move_nonconformance",
    ),
    path("affected/", affected.affected, name="affected"),
    path("records/", rolling_record.rolling_records, name="rolling_records"),
    path("records/<str:code>/", rolling_record.rolling_record, name="rolling_record"),
    path("packets/", packets.packets, name="packets"),
    path("packets/prepare/", packets.prepare_packet, name="prepare_packet"),
    path(f"{_PACKET}/", packets.packet, name="packet"),
    path(f"{_PACKET}/review/", packets.review_packet, name="review_packet"),
    path(f"{_PACKET}/issue/", packets.issue_packet, name="issue_packet"),
    path(f"{_PACKET}/revise/", packets.revise_packet, name="revise_packet"),
    path(f"{_PACKET}/file/", packets.packet_file, name="packet_file"),
    path("working/", working.workings, name="workings"),
    path("working/<slug:name>/", working.working, name="working"),
]
