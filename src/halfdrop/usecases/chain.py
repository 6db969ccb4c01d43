"""Following a determination to those that standardised its solutions, and working all of them out."""

from __future__ import annotations

import os
from collections.abc import Mapping
from dataclasses import dataclass, replace
from pathlib import Path

from halfdrop.core.findings import Finding, Place, Refused, Severity, refuse_if_any
from halfdrop.core.measure.estimate import Estimate, Factor, Shape
from halfdrop.core.measure.units import unit
from halfdrop.core.titration.chain import determinations, repeated
from halfdrop.core.titration.method import Method
from halfdrop.core.titration.work import Worked, work_out
from halfdrop.files.determination import read_determination
from halfdrop.files.methods import shipped_blocks
from halfdrop.files.quantities import LINK_ENDINGS
from halfdrop.files.result_json import SavedResult, digest_of, read_saved_result
from halfdrop.files.text_files import refuses
from halfdrop.files.toml_text import read_toml
from halfdrop.usecases.noticed import noticed


@dataclass
class _Links:
    """What stands in for the quantities that other files give."""

    worked: dict[str, Worked]
    saved: dict[str, Estimate]
    findings: list[Finding]


def work_file(path: Path, above: tuple[Path, ...] = ()) -> tuple[Worked, tuple[Finding, ...]]:
    """Read a determination and all it rests on, and work them out.

    Args:
        path: file of the determination.
        above: files that led here, to notice a chain that comes back to itself.

    Returns:
        The determination worked out, and everything noticed in its own file and in those it rests on.

    Raises:
        Refused: with all findings of all files, when one of them cannot be used.
    """
    determination, method, findings = read_determination(path)
    noticed = list(findings)
    files = determination.links if determination else _named_files(path)
    links = _followed(path, files, method, above) if method else _Links({}, {}, [])
    refuse_if_any([*noticed, *links.findings])
    if determination is None or method is None:
        raise Refused(noticed)
    worked = work_out(method, shipped_blocks(), determination, links.worked, links.saved)
    refuse_if_any([*noticed, *links.findings, *worked.findings])
    return worked, (*noticed, *links.findings)


def _named_files(path: Path) -> dict[str, str]:
    """Return the files that a page names which cannot be used itself, so that theirs is told with its own."""
    toml, _ = read_toml(path)
    tables = {name: table for name, table in (toml.data if toml else {}).items() if isinstance(table, dict)}
    files = {name: table.get("file") for name, table in tables.items()}
    return {
        name: file for name, file in files.items() if isinstance(file, str) and file.endswith(LINK_ENDINGS)
    }


def _followed(path: Path, files: Mapping[str, str], method: Method, above: tuple[Path, ...]) -> _Links:
    links = _Links({}, {}, [])
    trail = (*above, _place_of(path))
    for name, text in files.items():
        if name not in method.quantities:
            continue
        target = _place_of(path.parent / text)
        place = Place(str(path), 0, f"{name}, file")
        if target in trail:
            links.findings.append(_circle(place, text, trail, target))
        elif target.suffix == ".json":
            _take_saved(links, name, target, method, place)
        else:
            _take_worked(links, name, path.parent / text, method, place, trail)
    return links


def _place_of(path: Path) -> Path:
    """Return the place of a file, links followed as far as they lead: links in a circle are no fault here."""
    return Path(os.path.realpath(path))


def _take_worked(
    links: _Links, name: str, target: Path, method: Method, place: Place, trail: tuple[Path, ...]
) -> None:
    try:
        worked, findings = work_file(target, trail)
    except Refused as refused:
        links.findings += refused.findings
        return
    misfits = [
        *_misfits(method, name, worked.unit, worked.method.analyte, place),
        *_not_above_zero(worked.value, worked.unit, place),
    ]
    links.findings += [*findings, *seen_in(worked, target)]
    links.findings += [*misfits, *_other_size(method, name, worked.unit, place)]
    links.worked[name] = worked


def seen_in(worked: Worked, path: Path) -> tuple[Finding, ...]:
    """Return what was noticed while a page was worked out and about its result, with the page's name."""
    found = (*worked.findings, *noticed(worked))
    return tuple(one if one.place.file else one.at(replace(one.place, file=str(path))) for one in found)


def _take_saved(links: _Links, name: str, target: Path, method: Method, place: Place) -> None:
    saved, findings = read_saved_result(target)
    links.findings += findings
    if saved is None:
        return
    misfits = [
        *_misfits(method, name, saved.unit, saved.analyte, place),
        *_not_above_zero(saved.value, saved.unit, place),
    ]
    links.findings += [*misfits, *_changed(saved, target, place)]
    if not refuses(misfits):
        links.saved[name] = estimate_of(saved, method.quantities[name].unit, name)


def estimate_of(saved: SavedResult, wanted: str, name: str) -> Estimate:
    """Return a saved result as an input: its value, and each cause of its uncertainty under its own key.

    A key with a colon names an object (a burette, a room, an element, a page) that other determinations may
    share; any other is a name within the saved working and gets the prefix it would have had in a chain.
    """
    factor = float(unit(saved.unit).factor_to(unit(wanted)))
    parts = tuple(
        Factor(
            one.key if ":" in one.key else f"{name}.{one.key}",
            one.component * factor,
            Shape(one.shape),
            one.dof,
            "titrant",
        )
        for one in saved.contributions
    )
    return Estimate(saved.value * factor, factors=parts, source=f"worked out before, {saved.file}")


def _circle(place: Place, text: str, trail: tuple[Path, ...], target: Path) -> Finding:
    names = " -> ".join(p.name for p in (*trail[trail.index(target) :], target))
    return Finding(
        "chain-comes-back",
        Severity.REFUSED,
        f"{text} rests on itself: {names}. Give one of these concentrations by value, or name another file.",
        place,
        {"given": text},
    )


def _misfits(method: Method, name: str, found: str, analyte: str, place: Place) -> list[Finding]:
    """Find a linked result that is not what the quantity asks for."""
    quantity, findings = method.quantities[name], []
    if not unit(found).same_kind(unit(quantity.unit)):
        message = (
            f"The result there is in {found}, and {quantity.says} is wanted in {quantity.unit}. "
            "Name another file."
        )
        findings.append(Finding("link-unit", Severity.REFUSED, message, place, {"given": found}))
    if quantity.species and analyte and quantity.species != analyte:
        message = (
            f"The result there is for {analyte}, and {quantity.says} ({quantity.species}) is wanted. "
            "Look at the name of the file."
        )
        findings.append(Finding("link-species", Severity.ATTENTION, message, place, {"given": analyte}))
    return findings


def _not_above_zero(value: float, found: str, place: Place) -> list[Finding]:
    """Find a linked concentration that none can be."""
    if value > 0:
        return []
    message = (
        f"The result there is {value:.4g} {found}, and a concentration is above zero. Look at its readings "
        "and its blank, or name another file."
    )
    return [Finding("link-value", Severity.REFUSED, message, place, {"given": value})]


def _other_size(method: Method, name: str, found: str, place: Place) -> list[Finding]:
    """Find a linked page whose result is in a unit of the right kind and another size."""
    wanted = method.quantities[name].unit
    if not unit(found).same_kind(unit(wanted)) or unit(found).same(unit(wanted)):
        return []
    message = (
        f"The result there is in {found}, and {wanted} is wanted. Let its method end in {wanted}, or keep "
        "its result with --json and name that file: it is converted."
    )
    return [Finding("link-unit", Severity.REFUSED, message, place, {"given": found, "accepted": wanted})]


def _changed(saved: SavedResult, target: Path, place: Place) -> list[Finding]:
    """Find a saved result of which a record, its own or one below it, was changed since."""
    pages = dict([*saved.rests_on, (saved.file, saved.digest)])
    changed = [
        file for file, digest in pages.items()
        if file and (target.parent / file).is_file() and digest_of(target.parent / file) != digest
    ]  # fmt: skip
    if not changed:
        return []
    names, were = " and ".join(changed), "was" if len(changed) == 1 else "were"
    message = (
        f"{names} {were} changed after {target.name} was worked out from it. The old result is used; "
        "work it out again to use the new one."
    )
    return [Finding("titrant-record-changed", Severity.ATTENTION, message, place, {"digest": saved.digest})]


def all_determinations(worked: Worked) -> Mapping[str, Worked]:
    """Return the determinations of a chain by prefix, each once, those rested on first; the last has none."""
    again = repeated(worked.links)
    found = {prefix: one for prefix, one in determinations(worked.links).items() if prefix not in again}
    return {**found, "": worked}
