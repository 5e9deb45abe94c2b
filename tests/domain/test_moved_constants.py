"""Each number of the domain, moved by one per cent: its row notices, and says so."""

import pytest

from tests.support.moving import (
    LEFT_ALONE,
    constants,
    domain_modules,
    moved,
    noticed_by,
    notices,
)
from tests.support.outside import outside_rows

ROWS = {row["case"]: row for row in outside_rows()}
NUMBERS = constants()


@pytest.mark.parametrize("module", sorted({each.module for each in NUMBERS}))
def test_every_number_has_a_row_that_notices_it(module):
    named = noticed_by()
    asleep = []
    for each in NUMBERS:
        if each.module != module:
            continue
        row = ROWS.get(named.get(str(each), ""))
        with moved(each):
            if row is None or not notices(row):
                asleep.append(str(each))
    assert asleep == [], "`python -m tests.support.moving` looks for their rows"


def test_unmoved_every_row_agrees():
    assert [name for name in {*noticed_by().values()} if notices(ROWS[name])] == []


def test_the_table_names_no_number_that_is_gone():
    assert sorted({*noticed_by()} - {str(each) for each in NUMBERS}) == []


def test_what_is_left_alone_is_still_there():
    names = {f"{m.__name__}.{name}" for m in domain_modules() for name in vars(m)}
    assert sorted({*LEFT_ALONE} - names) == []
