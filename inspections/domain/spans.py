"""Elapsed time as a figure: how it is measured, shown, and written out step by step.

Work date, elapsed time and a core's age are three things; this is the second. Source:
civil time, IANA time zone database; what truly passed is a difference in UTC.
"""

from __future__ import annotations

from datetime import datetime, timedelta
from decimal import Decimal

from project.domain.clocks import as_time, elapsed, in_utc, on_the_clock
from project.domain.showing import beside
from project.domain.units import Quantity, convert
from project.domain.verdict import Known, Source
from project.domain.working import Named, Step, Used, Working

IN_UTC = Source("IANA time zone database", "difference in UTC", known=Known.DERIVED)
ROUNDING = "to 0.1 min where it is no whole minute; compared unrounded"


def minutes_between(start: datetime, stop: datetime) -> Quantity:
    """Return the minutes that truly passed between two instants.

    Parameters
    ----------
    start, stop
        Instants with a zone; negative where stop is first [min].

    Raises ValueError for an instant without a zone. Source: difference in UTC.

    >>> from zoneinfo import ZoneInfo
    >>> z = ZoneInfo("America/Denver")
    >>> str(minutes_between(datetime(2026, 3, 8, 1, 30, tzinfo=z),
    ...                     datetime(2026, 3, 8, 3, 0, tzinfo=z)))
    '30 min'
    """
    return as_time(elapsed(start, stop), unit="min")


def shown_minutes(minutes: Quantity, limit: Quantity | None = None) -> Quantity:
    """Return minutes as they are reported: whole, or to a tenth where they are not.

    Parameters
    ----------
    minutes
        Any unrounded time [min].
    limit
        What it is compared with [time]: rounding never makes the two look equal.

    Source: project's choice.

    >>> str(shown_minutes(Quantity(Decimal("89.98"), "min"), Quantity(Decimal(90), "min")))
    '89.98 min'
    """
    value = minutes.value
    if value == value.to_integral_value():
        return Quantity(value.quantize(Decimal(1)), "min")
    most = Decimal("NaN") if limit is None else convert(limit, to="min").value
    return Quantity(Decimal(beside(value, most, places=1)), "min")


def in_hours(span: timedelta) -> str:
    """Return a time span in words of the clock, down to the second where it has any.

    Source: project's choice.

    >>> in_hours(timedelta(hours=13, minutes=40)), in_hours(timedelta(seconds=61))
    ('13 h 40 min', '0 h 1 min 1 s')
    """
    hours, rest = divmod(span, timedelta(hours=1))
    minutes, rest = divmod(rest, timedelta(minutes=1))
    said = [f"{hours} h"]
    if minutes or rest:
        said.append(f"{minutes} min")
    if rest:
        said.append(f"{as_time(rest, unit='s').value.normalize():f} s")
    return " ".join(said)


def clock_step(name: str, instant: datetime) -> Step:
    """Return the step that takes an instant off its own clock to UTC.

    Raises ValueError for an instant without a zone. Source: difference in UTC.

    >>> from zoneinfo import ZoneInfo
    >>> clock_step("batched", datetime(2026, 8, 25, 8, 2,
    ...                                tzinfo=ZoneInfo("America/Denver"))).line
    '2026-08-25 08:02-06:00 = 2026-08-25 14:02+00:00'
    """
    there = on_the_clock(in_utc(instant, name=name))
    return Step(name, f"{on_the_clock(instant)} = {there}", IN_UTC)


def span_working(
    title: str,
    *,
    ends: tuple[tuple[str, datetime], tuple[str, datetime]],
    result: str,
    limit: Quantity | None = None,
    inputs: tuple[Named, ...] = (),
    more: tuple[Step, ...] = (),
    settings: tuple[Used, ...] = (),
) -> Working:
    """Return how an elapsed time came about, against its limit where there is one.

    Parameters
    ----------
    ends
        What begins and what ends, each with its instant.
    result
        What the time is called.
    limit
        What it is compared with [time]; the margin is what is left of it.
    inputs, more, settings
        What else was given, further steps, and the settings used.

    Raises ValueError for an instant without a zone. Source: difference in UTC.

    >>> from datetime import UTC
    >>> made = span_working("Age", result="age", limit=Quantity(Decimal("1.5"), "h"),
    ...     ends=(("batched", datetime(2026, 8, 25, 14, 2, tzinfo=UTC)),
    ...           ("last shot", datetime(2026, 8, 25, 15, 54, tzinfo=UTC))))
    >>> [step.line for step in made.steps[2:]]
    ['15:54 − 14:02, in UTC = 112 min', '1.5 h = 90 min', '90 − 112 = −22 min']
    """
    (start_name, start), (stop_name, stop) = ends
    exact = minutes_between(start, stop)
    reported = shown_minutes(exact, limit)
    line = f"{_hours(stop, start)} − {_hours(start, stop)}, in UTC = {reported}"
    steps = [
        clock_step(start_name, start),
        clock_step(stop_name, stop),
        Step(result, line, IN_UTC),
    ]
    if limit is not None:
        most = convert(limit, to="min")
        if limit.unit != "min":
            steps.append(Step("limit", f"{limit} = {_plain(most.value)} min"))
        left = _plain(most.value - reported.value)
        margin = f"{_plain(most.value)} − {_plain(reported.value)} = {left} min"
        steps.append(Step("margin", margin))
    return Working(
        title=title,
        inputs=inputs,
        steps=(*steps, *more),
        exact=exact,
        reported=reported,
        rounding=ROUNDING,
        settings=settings,
    )


def _plain(value: Decimal) -> str:
    whole = value == value.to_integral_value()
    text = f"{value.quantize(Decimal(1)) if whole else value:f}"
    return text.replace("-", "−")


def _hours(instant: datetime, beside_it: datetime) -> str:
    """Return an instant's UTC clock, with its date where the other has another one."""
    here, there = in_utc(instant), in_utc(beside_it)
    text = on_the_clock(here).removesuffix("+00:00")
    return text if here.date() != there.date() else text.partition(" ")[2]
