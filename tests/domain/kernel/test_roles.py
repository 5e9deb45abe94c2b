"""Who may do what: the settled rules, written out by hand from the trade's side."""

import pytest

from project.domain.roles import (
    ABILITIES,
    OWN_FIRM_ONLY,
    Ability,
    Role,
    may,
    roles_with,
)

EVERYBODY = set(Role)
AGENCY = {Role.INSPECTOR, Role.AGENCY_REVIEWER}
FOLLOWERS = {*AGENCY, Role.CONTRACTOR_QC, Role.ENGINEER, Role.OWNER}

# Source: common practice, no source, and this project's choices.
EXPECTED = {
    Ability.READ_JOB: EVERYBODY,
    Ability.MANAGE_SETTINGS: {Role.JOB_ADMINISTRATOR},
    Ability.MANAGE_MEMBERS: {Role.JOB_ADMINISTRATOR},
    Ability.APPROVE_MIX: {Role.ENGINEER},
    Ability.READ_AUDIT: {*AGENCY, Role.CONTRACTOR_QC, Role.JOB_ADMINISTRATOR},
    Ability.READ_OPERATORS: {*FOLLOWERS, Role.JOB_ADMINISTRATOR},
    Ability.KEEP_OPERATORS: {
        Role.INSPECTOR,
        Role.CONTRACTOR_QC,
        Role.JOB_ADMINISTRATOR,
    },
    Ability.PLAN_WORK: {Role.CONTRACTOR_QC},
    Ability.VERIFY_HOURS: {Role.CONTRACTOR_QC},
    Ability.RECORD_SHOOTING: {Role.INSPECTOR, Role.CONTRACTOR_QC},
    Ability.READ_PANELS: {*FOLLOWERS, Role.LABORATORY, Role.ARCHITECT},
    Ability.JUDGE_MOCK_UP: {Role.ENGINEER},
    Ability.RATE_CORES: {Role.ENGINEER},
    Ability.GIVE_WAIVER: {Role.ENGINEER},
    Ability.JUDGE_FINISH_SAMPLE: {Role.ENGINEER, Role.ARCHITECT},
    Ability.ACCEPT_SUBSTITUTE: {Role.ENGINEER},
    Ability.ENTER_RESULTS: {Role.LABORATORY},
    Ability.READ_STRENGTH: {*FOLLOWERS, Role.LABORATORY},
    Ability.WRITE_SHEET: {Role.INSPECTOR, Role.CONTRACTOR_QC},
    Ability.READ_OWN_SHEETS: {*AGENCY, Role.CONTRACTOR_QC},
    Ability.READ_SIGNED_SHEETS: FOLLOWERS,
    Ability.SIGN_REPORT: {Role.INSPECTOR, Role.CONTRACTOR_QC},
    Ability.REVIEW_REPORT: {*AGENCY, Role.CONTRACTOR_QC},
    Ability.RAISE_NONCONFORMANCE: {*AGENCY, Role.CONTRACTOR_QC},
    Ability.CLOSE_NONCONFORMANCE: {Role.ENGINEER, Role.OWNER},
    Ability.PREPARE_PACKET: AGENCY,
    Ability.REVIEW_PACKET: {Role.AGENCY_REVIEWER},
    Ability.ISSUE_PACKET: {Role.AGENCY_REVIEWER},
    Ability.READ_PACKETS: {
        *FOLLOWERS,
        Role.BUILDING_OFFICIAL,
        Role.JOB_ADMINISTRATOR,
    },
}


@pytest.mark.parametrize("ability", Ability)
def test_an_ability_belongs_to_exactly_these_roles(ability):
    assert set(roles_with(ability)) == EXPECTED[ability]


@pytest.mark.parametrize("role", Role)
def test_every_role_has_a_row(role):
    assert ABILITIES[role] == {ability for ability in Ability if may(role, ability)}


def test_the_building_official_reads_the_job_and_issued_packets_only():
    assert ABILITIES[Role.BUILDING_OFFICIAL] == {Ability.READ_JOB, Ability.READ_PACKETS}


def test_nobody_outside_the_firms_that_write_sheets_sees_a_draft():
    assert set(roles_with(Ability.READ_OWN_SHEETS)) == {*AGENCY, Role.CONTRACTOR_QC}
    assert Role.CONTRACTOR_QC in OWN_FIRM_ONLY


def test_contractors_and_laboratories_are_the_roles_held_to_their_own():
    assert {Role.CONTRACTOR_QC, Role.LABORATORY} == OWN_FIRM_ONLY


def test_whoever_enters_results_judges_nothing():
    judging = {Ability.JUDGE_MOCK_UP, Ability.ACCEPT_SUBSTITUTE, Ability.REVIEW_REPORT}
    assert judging.isdisjoint(ABILITIES[Role.LABORATORY])
