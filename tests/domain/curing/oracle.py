"""A slow and obvious count of moist time: minute by minute, on plain UTC instants.

Every minute is asked whether it was moist, by the rule in words: from the start or a
visit that found it moist again, to where it was last seen moist before a dry visit.
"""

from datetime import timedelta

MINUTE = timedelta(minutes=1)
NOT_COUNTED, AGAIN, UP_TO = (
    "the pause is not counted",
    "the count begins again",
    "as continuous up to",
)


def _moist_at(minute, visits, begun):
    """Return whether the minute that begins here was moist, as far as visits tell."""
    before = [v for v in visits if v.at <= minute]
    after = [v for v in visits if v.at > minute]
    moist_before = not before or before[-1].moist
    if not moist_before:
        told = after and after[0].moist and after[0].moist_since
        return bool(told and told <= minute)
    if after and not after[0].moist:
        last = before[-1].at if before else begun
        return minute < (after[0].last_seen_moist_at or last)
    return True


def oracle_end(visits, begun, hours, *, policy, most=0, days=40):
    """Return the instant a time asked is reached if nothing changes, or nothing."""
    visits = sorted(visits, key=lambda v: v.at)
    last = visits[-1] if visits else None
    counted, gap = 0, 0
    for n in range(days * 24 * 60):
        minute = begun + n * MINUTE
        if counted >= hours * 60 and not gap:
            return minute
        if last is not None and minute >= last.at and not last.moist:
            return None
        if _moist_at(minute, visits, begun):
            if gap:
                counted = _after(counted, gap, policy, most)
                gap = 0
                if counted >= hours * 60:
                    return minute
            counted += 1
        else:
            gap += 1
    raise AssertionError("no end in the time looked at")


def _after(counted, gap, policy, most):
    if policy == NOT_COUNTED:
        return counted
    if policy == UP_TO and gap <= most:
        return counted + gap
    return 0
