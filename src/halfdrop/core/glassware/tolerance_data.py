"""From the parsed content of a tolerance file to a table, with a finding for everything that is wrong in it.

The content is a mapping with

- ``kind``, ``default``;
- ``standards``: by short name, ``title`` and ``unlisted`` (``refuse``, ``next smaller`` or ``nearest``);
- ``sources``: by key, a text;
- ``limits``: rows with ``standard``, ``class``, ``capacity_ml``, ``mpe_ml``, ``source`` (a key) and, where
  the standard depends on it, ``division_ml``;
- ``derived`` (may be missing): rows with ``standard``, ``class``, ``of``, ``factor``, ``source`` (a key).
"""

from __future__ import annotations

import math
from collections.abc import Mapping
from dataclasses import dataclass, field
from decimal import Decimal

from halfdrop.core.findings import Finding, Place, Severity
from halfdrop.core.glassware.tolerance import Standard, Tolerance, ToleranceTable, Unlisted, derived_rows

KINDS = ("burette", "pipette", "flask")


@dataclass
class _Content:
    """A part of the file, its name in words, and the findings made so far."""

    part: Mapping[str, object]
    where: str
    file: str
    findings: list[Finding] = field(default_factory=list)

    def say(self, code: str, message: str, key: str = "", given: object = None) -> None:
        words = ", ".join(word for word in (self.where, key) if word)
        self.findings.append(
            Finding(code, Severity.REFUSED, message, Place(self.file, 0, words), {"given": given})
        )

    def text(self, key: str, accepted: tuple[str, ...] = ()) -> str:
        """Return the text under a key, or "" and a finding."""
        value = self.part.get(key)
        if isinstance(value, str) and value.strip() and (not accepted or value in accepted):
            return value
        wanted = f"one of {', '.join(accepted)}" if accepted else "a text"
        given = "Nothing" if value is None else repr(value)
        self.say("tolerance-text", f"{given} is written for {key}. Write {wanted}.", key, value)
        return ""

    def number(self, key: str) -> float:
        """Return the number above zero under a key, or NaN and a finding."""
        value = self.part.get(key)
        if isinstance(value, int | float | Decimal) and not isinstance(value, bool) and 0 < value < math.inf:
            return float(value)
        given = "Nothing" if value is None else repr(value)
        self.say("tolerance-number", f"{given} is written for {key}. Write a number above zero.", key, value)
        return math.nan

    def known(self, *keys: str) -> None:
        """Make a finding for every key that is not used."""
        for key in self.part:
            if key not in keys:
                message = f"{key!r} is not used here. Used are {', '.join(keys)}."
                self.say("tolerance-key", message, str(key), key)

    def table(self, key: str) -> Mapping[str, object]:
        """Return the table under a key, or an empty one and a finding."""
        value = self.part.get(key)
        if isinstance(value, Mapping):
            return value
        self.say("tolerance-table", f"The table {key} is missing. Write [{key}] and its entries.", key, value)
        return {}

    def rows(self, key: str, where: str) -> list[_Content]:
        """Return the list of tables under a key, each named in words."""
        value = self.part.get(key, [])
        listed = value if isinstance(value, list) else [value]
        found = []
        for number, row in enumerate(listed, start=1):
            name = f"{where} {number}"
            if isinstance(row, Mapping):
                found.append(_Content(row, name, self.file, self.findings))
            else:
                self.say(
                    "tolerance-table", f"{row!r} is not a row. Write a table with the columns.", name, row
                )
        return found


def read_tolerances(
    parsed: Mapping[str, object], file: str = ""
) -> tuple[ToleranceTable, tuple[Finding, ...]]:
    """Make a table of limits from the parsed content of a file.

    Args:
        parsed: the content, as the module says.
        file: name of the file, for the findings.

    Returns:
        The table of all rows that are right, and a finding for everything that is wrong.
    """
    content = _Content(parsed, "", file)
    content.known("kind", "default", "standards", "sources", "limits", "derived")
    kind = content.text("kind", KINDS)
    standards = _standards(content)
    names = tuple(standard.name for standard in standards)
    sources = _sources(content)
    rows: list[Tolerance] = []
    for row in content.rows("limits", "limit"):
        limit = _limit(row, kind, names, sources)
        if limit is not None:
            _add(row, rows, [limit])
    for row in content.rows("derived", "derived"):
        _add(row, rows, _derived(row, rows, names, sources))
    if not rows:
        content.say("tolerance-empty", "No limit is listed. Write at least one row under limits.", "limits")
    default = content.text("default", names) if names else ""
    return ToleranceTable(kind, default, standards, tuple(rows)), tuple(content.findings)


def _standards(content: _Content) -> tuple[Standard, ...]:
    found = []
    for name, part in content.table("standards").items():
        where = f"standards, {name}"
        if not isinstance(part, Mapping):
            content.say("tolerance-table", f"{part!r} is not a table. Write title and unlisted.", where, part)
            continue
        one = _Content(part, where, content.file, content.findings)
        one.known("title", "unlisted")
        title, rule = one.text("title"), one.text("unlisted", tuple(each.value for each in Unlisted))
        if title and rule:
            found.append(Standard(str(name), title, Unlisted(rule)))
    return tuple(found)


def _sources(content: _Content) -> dict[str, str]:
    table = _Content(content.table("sources"), "sources", content.file, content.findings)
    return {key: table.text(key) for key in table.part}


def _limit(
    row: _Content, kind: str, standards: tuple[str, ...], sources: Mapping[str, str]
) -> Tolerance | None:
    before = len(row.findings)
    row.known("standard", "class", "capacity_ml", "division_ml", "mpe_ml", "source")
    standard, glass_class = row.text("standard", standards), row.text("class")
    capacity, mpe = row.number("capacity_ml"), row.number("mpe_ml")
    division = row.number("division_ml") if "division_ml" in row.part else None
    source = sources.get(row.text("source", tuple(sources)), "")
    if mpe >= capacity:
        row.say(
            "tolerance-number",
            f"A limit of {mpe:g} mL on {capacity:g} mL cannot be. Write both in mL.",
            "mpe_ml",
            mpe,
        )
    if len(row.findings) > before:
        return None
    return Tolerance(kind, standard, glass_class, capacity, division, mpe, source)


def _derived(
    row: _Content, rows: list[Tolerance], standards: tuple[str, ...], sources: Mapping[str, str]
) -> list[Tolerance]:
    before = len(row.findings)
    row.known("standard", "class", "of", "factor", "source")
    standard, glass_class, base = row.text("standard", standards), row.text("class"), row.text("of")
    factor = row.number("factor")
    source = sources.get(row.text("source", tuple(sources)), "")
    if len(row.findings) > before:
        return []
    made = derived_rows(rows, standard, glass_class, base, factor, source)
    if not made:
        row.say("tolerance-class", f"{standard} lists no class {base} to derive from.", "of", base)
    return made


def _add(row: _Content, rows: list[Tolerance], new: list[Tolerance]) -> None:
    """Append rows, with a finding for each that is there already."""
    for one in new:
        identity = (one.standard, one.glass_class, one.capacity_ml, one.division_ml)
        if any((r.standard, r.glass_class, r.capacity_ml, r.division_ml) == identity for r in rows):
            message = (
                f"{one.standard}, class {one.glass_class}, {one.capacity_ml:g} mL is listed twice. Keep one "
                "row."
            )
            row.say("tolerance-twice", message)
        else:
            rows.append(one)
