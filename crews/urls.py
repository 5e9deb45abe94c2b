"""The crew's pages: who may shoot, who shot, and what panels and cores said."""

from __future__ import annotations

from django.urls import path

from crews.views import (
    badges,
    calendar,
    crews,
    endings,
    experience,
    laboratory,
    making,
    operators,
    panels,
    people,
    plans,
    ratings,
    roll_call,
    shooting,
    waivers,
)

urlpatterns = [
    path("operators/", operators.operators, name="operators"),
    path("operators/enter/", people.enter_operator, name="enter_operator"),
    path("operators/enrol/", people.enrol_operator, name="enrol_operator"),
    path("operators/ends/", endings.ends_next, name="ends_next"),
    path("calendar/", calendar.calendar_addresses, name="calendar_addresses"),
    path(
        "calendar/make/", calendar.make_calendar_address, name="make_calendar_address"
    ),
    path(
        "calendar/<uuid:address>/revoke/",
        calendar.revoke_calendar_address,
        name="revoke_calendar_address",
    ),
    path("calendar/<str:secret>.ics", calendar.calendar_feed, name="calendar_feed"),
    path("operators/badges/", badges.badges, name="badges"),
    path("badges/<uuid:operator>/", badges.badge, name="badge"),
    path("operators/<str:code>/", operators.operator, name="operator"),
    path("operators/<str:code>/names/", people.edit_operator, name="edit_operator"),
    path("operators/<str:code>/place/", people.correct_place, name="correct_place"),
    path("operators/<str:code>/cards/record/", people.record_card, name="record_card"),
    path(
        "operators/<str:code>/cards/<uuid:card>/renew/",
        people.renew_card,
        name="renew_card",
    ),
    path(
        "operators/<str:code>/cards/<uuid:card>/correct/",
        people.correct_card,
        name="correct_card",
    ),
    path(
        "operators/<str:code>/cards/<uuid:card>/withdraw/",
        people.withdraw_card,
        name="withdraw_card",
    ),
    path(
        "operators/<str:code>/orders/record/",
        people.suspend_operator,
        name="suspend_operator",
    ),
    path(
        "operators/<str:code>/orders/<uuid:order>/end/",
        people.end_suspension,
        name="end_suspension",
    ),
    path(
        "operators/<str:code>/experience/state/",
        experience.state_experience,
        name="state_experience",
    ),
    path("operators/<str:code>/waivers/give/", waivers.give_waiver, name="give_waiver"),
    path(
        "operators/<str:code>/waivers/<uuid:waiver>/end/",
        waivers.end_waiver,
        name="end_waiver",
    ),
    path("plans/", plans.plans, name="plans"),
    path("plans/make/", plans.plan_placement, name="plan_placement"),
    path("plans/<str:code>/", plans.plan, name="plan"),
    path("plans/<str:code>/assign/", plans.assign_operator, name="assign_operator"),
    path(
        "plans/<str:code>/people/<uuid:assigned>/take-off/",
        plans.take_off_plan,
        name="take_off_plan",
    ),
    path("plans/<str:code>/move/", plans.move_plan, name="move_plan"),
    path("plans/<str:code>/withdraw/", plans.withdraw_plan, name="withdraw_plan"),
    path("roll-call/", roll_call.roll_call, name="roll_call"),
    path("crews/", crews.crews, name="crews"),
    path("crews/enter/", crews.enter_crew, name="enter_crew"),
    path(
        "crews/<uuid:crew>/people/enter/",
        crews.enter_crew_member,
        name="enter_crew_member",
    ),
    path("rigs/enter/", crews.enter_rig, name="enter_rig"),
    path("rigs/equal/", crews.accept_equal_rigs, name="accept_equal_rigs"),
    path("shifts/open/", shooting.open_shift, name="open_shift"),
    path("shifts/<uuid:shift>/close/", shooting.close_shift, name="close_shift"),
    path(
        "shifts/<uuid:shift>/placements/record/",
        shooting.record_placement,
        name="record_placement",
    ),
    path(
        "shifts/<uuid:shift>/presences/note/",
        shooting.note_presence,
        name="note_presence",
    ),
    path("presences/<uuid:presence>/end/", shooting.end_presence, name="end_presence"),
    path("nozzle-times/<uuid:held>/leave/", shooting.leave_nozzle, name="leave_nozzle"),
    path("panels/", panels.panels, name="panels"),
    path("panels/shoot/<slug:kind>/", making.shoot, name="shoot_panel"),
    path("panels/<str:code>/", panels.panel, name="panel"),
    path("panels/<str:code>/cores/drill/", making.drill_cores, name="drill_cores"),
    path("panels/<str:code>/judge/", making.judge, name="judge_panel"),
    path("panels/<str:code>/rate/", ratings.rate, name="rate_cores"),
    path("panels/<str:code>/accept/", making.accept, name="accept_substitute"),
    path("strength/", laboratory.strength, name="strength"),
    path("strength/<str:mix>/", laboratory.strength, name="strength_of"),
    path("laboratory/", laboratory.laboratory, name="laboratory"),
    path(
        "laboratory/panels/<str:code>/cores/drill/",
        making.drill_own_cores,
        name="drill_own_cores",
    ),
    path(
        "laboratory/panels/<str:code>/results/enter/",
        laboratory.enter_results,
        name="enter_results",
    ),
    path(
        "laboratory/reports/<uuid:report>/amend/",
        laboratory.amend_results,
        name="amend_results",
    ),
]
