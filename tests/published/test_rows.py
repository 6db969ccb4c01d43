"""Every published number, one test each. A source is a module here with a ``SOURCE``."""

from __future__ import annotations

import pytest

from tests.published.row import Row, agrees, half_unit, sources


@pytest.mark.parametrize(
    "row",
    [pytest.param(r, id=f"{s.title[:24]} | {r.place} | {r.what}"[:110]) for s in sources() for r in s.rows],
)
def test_a_published_number_is_reached(row: Row) -> None:
    row.check()


def test_half_unit_is_read_off_the_text() -> None:
    assert half_unit("0.0010") == 0.00005
    assert half_unit("23") == 0.5
    assert agrees("0.10", 0.1049)
    assert not agrees("0.10", 0.1051)
