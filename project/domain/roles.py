"""Who may do what on a job: one pure table of roles and intentions.

An ability opens a door; what is found behind it is still the member's own: a
contractor reads its own people, work and sheets, a laboratory its own panels,
and an agency's draft is seen by nobody outside the agency. `OWN_FIRM_ONLY` names
the roles whose reads the queries narrow so.

Source: common practice, no source; who prepares, reviews and reads the packet,
and who judges a mock-up or a finish sample, is this project's choice.
"""

from __future__ import annotations

from collections.abc import Mapping
from enum import StrEnum


class Role(StrEnum):
    """What a member is on one job."""

    INSPECTOR = "inspector"
    AGENCY_REVIEWER = "agency reviewer"
    CONTRACTOR_QC = "contractor QC"
    LABORATORY = "laboratory"
    ENGINEER = "engineer"
    ARCHITECT = "architect"
    OWNER = "owner"
    BUILDING_OFFICIAL = "building official"
    JOB_ADMINISTRATOR = "job administrator"


class Ability(StrEnum):
    """One intention, named as a person would say it."""

    READ_JOB = "read the job, its parts, mixes and terms"
    MANAGE_SETTINGS = "keep the job's settings, terms, mixes and parts"
    MANAGE_MEMBERS = "let members in and out"
    APPROVE_MIX = "approve a mix revision"
    READ_AUDIT = "read the audit trail"
    READ_OPERATORS = "read operators and who is qualified on record"
    KEEP_OPERATORS = "enter operators, cards and enrolments"
    PLAN_WORK = "plan placements and assign operators to them"
    VERIFY_HOURS = "verify an operator's hours and write the employer's letter"
    RECORD_SHOOTING = "record shifts, placements, nozzle times and panels"
    READ_PANELS = "read panels, cores and what is owed"
    JUDGE_MOCK_UP = "judge a mock-up"
    RATE_CORES = "rate the faces of cores"
    GIVE_WAIVER = "waive a gate in writing"
    JUDGE_FINISH_SAMPLE = "judge a finish sample"
    ACCEPT_SUBSTITUTE = "accept in-place cores for a missing panel"
    ENTER_RESULTS = "enter laboratory results"
    READ_STRENGTH = "read strength results"
    WRITE_SHEET = "write a daily field report"
    READ_OWN_SHEETS = "read one's own firm's sheets, drafts too"
    READ_SIGNED_SHEETS = "read signed daily field reports"
    SIGN_REPORT = "sign a daily field report"
    REVIEW_REPORT = "review a report somebody else signed"
    RAISE_NONCONFORMANCE = "raise a nonconformance report"
    CLOSE_NONCONFORMANCE = "close a nonconformance report"
    PREPARE_PACKET = "prepare a packet"
    REVIEW_PACKET = "review a packet somebody else prepared"
    ISSUE_PACKET = "issue a reviewed packet"
    READ_PACKETS = "read issued packets"


_A = Ability

# What everybody who follows the work from day to day reads.
_FOLLOWS_WORK = frozenset(
    {
        _A.READ_JOB,
        _A.READ_OPERATORS,
        _A.READ_PANELS,
        _A.READ_STRENGTH,
        _A.READ_SIGNED_SHEETS,
        _A.READ_PACKETS,
    }
)

# What a firm that keeps a daily record of the work writes.
_KEEPS_RECORD = frozenset(
    {
        _A.KEEP_OPERATORS,
        _A.RECORD_SHOOTING,
        _A.WRITE_SHEET,
        _A.READ_OWN_SHEETS,
        _A.SIGN_REPORT,
        _A.REVIEW_REPORT,
        _A.RAISE_NONCONFORMANCE,
        _A.READ_AUDIT,
    }
)

ABILITIES: Mapping[Role, frozenset[Ability]] = {
    Role.INSPECTOR: _FOLLOWS_WORK | _KEEPS_RECORD | {_A.PREPARE_PACKET},
    Role.AGENCY_REVIEWER: _FOLLOWS_WORK
    | {
        _A.READ_OWN_SHEETS,
        _A.REVIEW_REPORT,
        _A.RAISE_NONCONFORMANCE,
        _A.READ_AUDIT,
        _A.PREPARE_PACKET,
        _A.REVIEW_PACKET,
        _A.ISSUE_PACKET,
    },
    Role.CONTRACTOR_QC: _FOLLOWS_WORK | _KEEPS_RECORD | {_A.PLAN_WORK, _A.VERIFY_HOURS},
    Role.LABORATORY: frozenset(
        {_A.READ_JOB, _A.READ_PANELS, _A.ENTER_RESULTS, _A.READ_STRENGTH}
    ),
    Role.ENGINEER: _FOLLOWS_WORK
    | {
        _A.APPROVE_MIX,
        _A.GIVE_WAIVER,
        _A.JUDGE_MOCK_UP,
        _A.RATE_CORES,
        _A.JUDGE_FINISH_SAMPLE,
        _A.ACCEPT_SUBSTITUTE,
        _A.CLOSE_NONCONFORMANCE,
    },
    Role.ARCHITECT: frozenset({_A.READ_JOB, _A.READ_PANELS, _A.JUDGE_FINISH_SAMPLE}),
    Role.OWNER: _FOLLOWS_WORK | {_A.CLOSE_NONCONFORMANCE},
    Role.BUILDING_OFFICIAL: frozenset({_A.READ_JOB, _A.READ_PACKETS}),
    Role.JOB_ADMINISTRATOR: frozenset(
        {
            _A.READ_JOB,
            _A.MANAGE_SETTINGS,
            _A.MANAGE_MEMBERS,
            _A.READ_OPERATORS,
            _A.KEEP_OPERATORS,
            _A.READ_PACKETS,
            _A.READ_AUDIT,
        }
    ),
}

OWN_FIRM_ONLY = frozenset({Role.CONTRACTOR_QC, Role.LABORATORY})


def may(role: Role, ability: Ability) -> bool:
    """Return whether a role opens a door. Source: the table above.

    >>> may(Role.OWNER, Ability.READ_PACKETS), may(Role.OWNER, Ability.WRITE_SHEET)
    (True, False)
    """
    return ability in ABILITIES[role]


def roles_with(ability: Ability) -> tuple[Role, ...]:
    """Return the roles that open a door, in the order of the table.

    Source: the table above.

    >>> [str(role) for role in roles_with(Ability.JUDGE_FINISH_SAMPLE)]
    ['engineer', 'architect']
    """
    return tuple(role for role in Role if may(role, ability))
