"""Times typed on the job's clock where that clock skips an hour or shows it twice.

Source: IANA time zone database (zoneinfo): Denver goes back at 02:00 on 1 November 2026
and forward at 02:00 on 8 March 2026.
"""

from datetime import UTC, datetime
from zoneinfo import ZoneInfo

import pytest
from django import forms

from project import clock
from project.forms.fields import LocalDateTimeField

DENVER = "America/Denver"
FIRST = datetime(2026, 11, 1, 7, 30, tzinfo=UTC)
SECOND = datetime(2026, 11, 1, 8, 30, tzinfo=UTC)


class OneTime(forms.Form):
    at = LocalDateTimeField()

    def __init__(self, *args, **kwargs):
        super().__init__(*args, **kwargs)
        self.fields["at"].zone = DENVER


@pytest.fixture(autouse=True)
def _later(monkeypatch):
    monkeypatch.setattr(clock, "now", lambda: datetime(2026, 12, 1, tzinfo=UTC))


def test_an_hour_that_came_twice_is_asked_back_with_both_offsets():
    form = OneTime({"at": "2026-11-01T01:30"})
    assert form.errors["at"] == [
        "2026-11-01 01:30 came twice on the clock of America/Denver; allowed is"
        " 2026-11-01 01:30-06:00 or 2026-11-01 01:30-07:00."
    ]
    # a picker has no place for an offset: the box that is shown again takes text
    box = str(form["at"])
    assert 'type="text"' in box
    assert 'value="2026-11-01T01:30"' in box
    assert 'type="datetime-local"' in str(OneTime()["at"])


@pytest.mark.parametrize(
    ("typed", "instant"),
    [
        ("2026-11-01 01:30-06:00", FIRST),
        ("2026-11-01T01:30-07:00", SECOND),
        ("2026-11-01T08:30Z", SECOND),
        ("2026-11-01T00:59", datetime(2026, 11, 1, 6, 59, tzinfo=UTC)),
        ("2026-11-01T02:00", datetime(2026, 11, 1, 9, tzinfo=UTC)),
        ("2026-03-08T01:59", datetime(2026, 3, 8, 8, 59, tzinfo=UTC)),
        ("2026-03-08T03:00", datetime(2026, 3, 8, 9, tzinfo=UTC)),
    ],
)
def test_a_time_that_is_one_instant_is_taken_in_utc(typed, instant):
    form = OneTime({"at": typed})
    assert form.is_valid(), form.errors
    assert form.cleaned_data["at"] == instant
    assert form.cleaned_data["at"].tzinfo is UTC


def test_a_time_in_the_repeated_hour_shown_again_stays_what_it_was():
    for instant, shown in ((FIRST, "01:30-06:00"), (SECOND, "01:30-07:00")):
        form = OneTime(initial={"at": instant})
        box = str(form["at"])
        assert f'value="2026-11-01 {shown}"' in box
        assert 'type="text"' in box
        again = OneTime({"at": f"2026-11-01 {shown}"}, initial={"at": instant})
        assert again.is_valid()
        assert not again.has_changed()


def test_any_other_time_is_shown_on_the_wall():
    noon = datetime(2026, 8, 13, 12, 5, tzinfo=ZoneInfo(DENVER)).astimezone(UTC)
    box = str(OneTime(initial={"at": noon})["at"])
    assert 'value="2026-08-13T12:05"' in box
    assert 'type="datetime-local"' in box


@pytest.mark.parametrize(
    ("typed", "said"),
    [
        (
            "2026-03-08T02:30",
            "2026-03-08 02:30 was never on the clock of America/Denver",
        ),
        ("0001-01-01T00:00", "0001-01-01T00:00 is not a date and time"),
        ("9999-12-31T23:59", "9999-12-31T23:59 is not a date and time"),
        ("0001-01-01T00:00+14:00", "is not a date and time"),
        ("2026-12-01T00:01+00:00", "lies ahead; allowed is now, 2026-11-30 17:00"),
        ("2026-11-01 01:30-99:00", "is not a date and time"),
    ],
)
def test_what_was_on_no_clock_is_refused_with_its_value(typed, said):
    form = OneTime({"at": typed})
    assert said in form.errors["at"][0]
