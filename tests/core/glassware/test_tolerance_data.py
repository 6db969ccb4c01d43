"""Everything that is wrong in a file of limits is found at once."""

from __future__ import annotations

import copy
from decimal import Decimal
from typing import Any

import pytest
from hypothesis import given
from hypothesis import strategies as st

from halfdrop.core.glassware.tolerance_data import read_tolerances
from tests.core.glassware.pages import codes

GOOD: dict[str, Any] = {
    "kind": "burette",
    "default": "S",
    "standards": {"S": {"title": "A standard", "unlisted": "refuse"}},
    "sources": {"seen": "A standard, table 1"},
    "limits": [
        {
            "standard": "S",
            "class": "A",
            "capacity_ml": 50,
            "division_ml": 0.1,
            "mpe_ml": 0.05,
            "source": "seen",
        },
        {"standard": "S", "class": "A", "capacity_ml": 25, "mpe_ml": Decimal("0.03"), "source": "seen"},
    ],
    "derived": [{"standard": "S", "class": "B", "of": "A", "factor": 2, "source": "seen"}],
}


def changed(*path: str | int, value: object) -> dict[str, Any]:
    """Return the good content with one value changed, or taken out for ``...``."""
    content = copy.deepcopy(GOOD)
    part: Any = content
    for key in path[:-1]:
        part = part[key]
    if value is ...:
        del part[path[-1]]
    else:
        part[path[-1]] = value
    return content


def test_good_content_becomes_a_table() -> None:
    table, findings = read_tolerances(GOOD)

    assert findings == ()
    assert [(row.glass_class, row.capacity_ml, row.mpe_ml) for row in table.rows] == [
        ("A", 50, 0.05), ("A", 25, 0.03), ("B", 50, 0.10), ("B", 25, 0.06),
    ]  # fmt: skip
    assert table.rows[2].source == "A standard, table 1; class B: A standard, table 1"


def test_derived_classes_may_be_missing() -> None:
    assert read_tolerances(changed("derived", value=...))[1] == ()


@pytest.mark.parametrize(
    ("path", "value", "code", "field"),
    [
        (("kind",), "beaker", "tolerance-text", "kind"),
        (("default",), "T", "tolerance-text", "default"),
        (("extra",), 1, "tolerance-key", "extra"),
        (("standards",), ..., "tolerance-table", "standards"),
        (("standards", "S"), 3, "tolerance-table", "standards, S"),
        (("standards", "S", "unlisted"), "guess", "tolerance-text", "standards, S, unlisted"),
        (("sources",), [], "tolerance-table", "sources"),
        (("sources", "seen"), "  ", "tolerance-text", "sources, seen"),
        (("limits", 0, "mpe_ml"), "0,05", "tolerance-number", "limit 1, mpe_ml"),
        (("limits", 0, "mpe_ml"), -0.05, "tolerance-number", "limit 1, mpe_ml"),
        (("limits", 0, "mpe_ml"), True, "tolerance-number", "limit 1, mpe_ml"),
        (("limits", 0, "mpe_ml"), 50, "tolerance-number", "limit 1, mpe_ml"),
        (("limits", 0, "capacity_ml"), ..., "tolerance-number", "limit 1, capacity_ml"),
        (("limits", 0, "division_ml"), 0, "tolerance-number", "limit 1, division_ml"),
        (("limits", 1, "source"), "hearsay", "tolerance-text", "limit 2, source"),
        (("limits", 1, "colour"), "blue", "tolerance-key", "limit 2, colour"),
        (("limits", 1), "row", "tolerance-table", "limit 2"),
        (("derived", 0, "of"), "AS", "tolerance-class", "derived 1, of"),
        (("derived", 0, "factor"), 0, "tolerance-number", "derived 1, factor"),
    ],
)
def test_what_is_wrong_has_its_place(
    path: tuple[str | int, ...], value: object, code: str, field: str
) -> None:
    _, findings = read_tolerances(changed(*path, value=value), "burettes.toml")

    assert (code, field) in [(finding.code, finding.place.field) for finding in findings]
    assert all(finding.place.file == "burettes.toml" for finding in findings)
    assert all(finding.message[0] in "'\"[" or not finding.message[0].islower() for finding in findings)


def test_everything_wrong_is_said_at_once() -> None:
    content = changed("limits", 0, "mpe_ml", value="x") | {"kind": 1, "extra": 2}

    assert sorted(codes(read_tolerances(content)[1])) == [
        "tolerance-key",
        "tolerance-number",
        "tolerance-text",
    ]


def test_a_limit_listed_twice_is_kept_once() -> None:
    content = copy.deepcopy(GOOD)
    content["limits"].append({**content["limits"][0], "mpe_ml": 0.07})

    table, findings = read_tolerances(content)

    assert codes(findings) == ["tolerance-twice"]
    assert [row.mpe_ml for row in table.rows if row.capacity_ml == 50 and row.glass_class == "A"] == [0.05]


JUNK = st.recursive(
    st.none() | st.booleans() | st.floats() | st.text(max_size=5),
    lambda inner: st.lists(inner, max_size=3) | st.dictionaries(st.text(max_size=5), inner, max_size=3),
    max_leaves=6,
)


@given(st.sampled_from(sorted(GOOD)), JUNK)
def test_any_content_gives_a_table_and_findings(key: str, junk: object) -> None:
    table, findings = read_tolerances(changed(key, value=junk))

    assert all(row.mpe_ml > 0 for row in table.rows)
    assert findings or key == "derived" or table.rows
