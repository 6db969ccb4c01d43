"""Reading a saved result (``halfdrop result --json``), so that a later determination can rest on it."""

from __future__ import annotations

import json
import math
from dataclasses import dataclass
from pathlib import Path

from halfdrop.core.findings import Finding, Place
from halfdrop.core.measure.estimate import Shape
from halfdrop.core.measure.units import UnitError, unit
from halfdrop.files.digests import digest_of
from halfdrop.files.fields import ABOVE_ZERO, NOT_NEGATIVE, Fields, Row, Spot
from halfdrop.files.text_files import decoded, read_bytes, refusal, refuses

FORMAT = 1
# by how much the squares of the contributions may miss that of u, relative: they are saved with all digits
_TOLERANCE = 1e-6

__all__ = ["SavedContribution", "SavedResult", "digest_of", "read_saved_result", "saved_result_from"]


@dataclass(frozen=True)
class SavedContribution:
    """One independent cause of the uncertainty of a saved result.

    Attributes:
        key: which object it is.
        component: its part of the standard uncertainty, unit of the result, signed.
        dof: degrees of freedom.
        shape: its distribution.
        group: heading in the budget.
    """

    key: str
    component: float
    dof: float
    shape: str
    group: str


@dataclass(frozen=True)
class SavedResult:
    """A result worked out before.

    Attributes:
        value: the result, in ``unit``.
        unit: its unit.
        u: its standard uncertainty.
        dof: its effective degrees of freedom.
        contributions: independent causes; their squares add up to that of ``u``.
        analyte: what the result is about, "" when not said.
        digest: SHA-256 of what it was worked out from.
        file: name of the determination it was worked out from.
        rests_on: files, seen from the folder of that determination, that it rests on, with their digests.
    """

    value: float
    unit: str
    u: float
    dof: float
    contributions: tuple[SavedContribution, ...]
    analyte: str
    digest: str
    file: str
    rests_on: tuple[tuple[str, str], ...] = ()


def read_saved_result(path: Path) -> tuple[SavedResult | None, tuple[Finding, ...]]:
    """Read a saved result; None, and findings that say why, when it cannot be used."""
    data, findings = read_bytes(path)
    if data is None:
        return None, tuple(findings)
    return saved_result_from(data, str(path))


def saved_result_from(data: bytes, file: str = "") -> tuple[SavedResult | None, tuple[Finding, ...]]:
    """Read a saved result from the bytes of its file.

    Args:
        data: the bytes.
        file: its name, for findings.
    """
    text, findings = decoded(data, file)
    if text is None:
        return None, tuple(findings)
    try:
        parsed = json.loads(text)
    except json.JSONDecodeError as error:
        return None, (_not_json(file, error.lineno, error.msg),)
    except (ValueError, RecursionError) as error:  # a number of thousands of digits, brackets without end
        return None, (_not_json(file, 0, str(error)),)
    if not isinstance(parsed, dict):
        return None, (_not_json(file, 1, "no object"),)
    top = Fields(parsed, Spot(Row(file, 0)), findings)
    saved = _saved(top)
    return (None if refuses(findings) else saved), tuple(findings)


def _not_json(file: str, line: int, why: str) -> Finding:
    message = (
        "This is not a saved result. Save one with: halfdrop result FILE --json > NAME.json; or name the "
        "determination itself, which ends in .toml."
    )
    return refusal("not-a-saved-result", message, Place(file, line), why)


def _saved(top: Fields) -> SavedResult | None:
    version = top.whole("format")
    if version != FORMAT:
        message = (
            f"A saved result of format {FORMAT} is wanted. Work the determination out again with this "
            "version: halfdrop result FILE --json."
        )
        top.say("saved-format", message, "format", FORMAT)
    result = top.sub("result")
    if result is None:
        top.missing("result", '{ "value": 0.1023, "unit": "mol/L", "u": 0.0002, "dof": 12 }')
        return None
    value = result.number("value", example="0.1023")
    u = result.number("u", NOT_NEGATIVE, "0.0002")
    unit_text = result.text("unit", example='"mol/L"')
    try:
        unit(unit_text)
    except UnitError as error:
        result.say("unit-unknown", f"{error}.", "unit")
    causes = [_contribution(table) for table in top.subs("contributions")]
    contributions = tuple(one for one in causes if one is not None)
    if not top.has("contributions") and u is not None and u.value:
        top.missing("contributions", '[{ "key": "...", "component": 0.0001, "dof": null }]')
    dof = _dof(result)
    if value is None or u is None:
        return None
    _add_up(top, contributions, float(u))
    method = top.sub("method") if isinstance(top.raw("method"), dict) else None
    return SavedResult(
        float(value), unit_text, float(u), dof, contributions,
        method.text("analyte") if method else "", top.text("digest", example='"..."'), top.text("file"),
        tuple((one.text("file"), one.text("digest")) for one in top.subs("rests_on")),
    )  # fmt: skip


def _contribution(table: Fields) -> SavedContribution | None:
    key = table.text("key", example='"burette:B07"')
    component = table.number("component", example="0.0001")
    shape = table.choice("shape", [one.value for one in Shape], Shape.NORMAL.value)
    dof, group = _dof(table), table.text("group")
    return None if component is None else SavedContribution(key, float(component), dof, shape, group)


def _dof(table: Fields) -> float:
    """Return degrees of freedom; JSON has no infinity, so none is written for it."""
    if table.raw("dof") in (None, math.inf):
        return math.inf
    number = table.number("dof", ABOVE_ZERO)
    return math.inf if number is None else float(number)


def _add_up(top: Fields, contributions: tuple[SavedContribution, ...], u: float) -> None:
    """Refuse contributions that are not those of the result."""
    if any(finding.place.field.startswith("contributions") for finding in top.findings):
        return
    total = math.sqrt(math.fsum(one.component**2 for one in contributions))
    if abs(total - u) > _TOLERANCE * max(total, u):
        message = (
            f"The contributions add up to {total:.6g} and the result says u = {u:.6g}: the file was changed "
            "by hand, or cut. Work the determination out again."
        )
        top.say("saved-not-whole", message, "contributions")
