"""Pieces of glassware and balances as a person describes them."""

from __future__ import annotations

from collections.abc import Iterator
from dataclasses import replace
from decimal import Decimal

from halfdrop.core.findings import Place
from halfdrop.core.glassware.shelf import Kind, Piece, Tap, Weighing
from halfdrop.core.glassware.thermal import DEFAULT_GLASS, find_glass
from halfdrop.files.fields import ABOVE_ZERO, NOT_NEGATIVE, Fields, Range
from halfdrop.files.numbers import Written
from halfdrop.files.text_files import note

KINDS = tuple(kind.value for kind in Kind)
_SIZES = {
    Kind.BURETTE: Range("of millilitres, 0.5 to 1000", lambda value: 0.5 <= value <= 1000),
    Kind.PIPETTE: Range("of millilitres, 0.1 to 500", lambda value: 0.1 <= value <= 500),
    Kind.FLASK: Range("of millilitres, 1 to 20000", lambda value: 1 <= value <= 20000),
}
_EXAMPLES = {Kind.BURETTE: "50", Kind.PIPETTE: "25", Kind.FLASK: "250"}
_WAITING = Range("of seconds, at most 3600", lambda value: 0 <= value <= 3600)


def read_pieces(tables: Iterator[Fields]) -> list[Piece]:
    """Return the pieces of some tables; one table may describe several alike, under ``ids``."""
    return [piece for table in tables for piece in read_piece(table)]


def read_piece(table: Fields) -> list[Piece]:
    """Return the piece of a table, or the several that its ``ids`` name; none when it cannot be used."""
    before = len(table.findings)
    names = _names(table)
    kind_text = table.choice("kind", KINDS)
    if not table.has("kind"):
        table.missing("kind", f'"burette" (or {", ".join(KINDS[1:])})')
    piece = None
    if kind_text:
        kind = Kind(kind_text)
        piece = _balance(table) if kind is Kind.BALANCE else _glass(table, kind)
    table.finish()
    refused = any(finding.severity == "refused" for finding in table.findings[before:])
    if piece is None or refused:
        return []
    here = table.place()  # several pieces of one table are told apart by their names
    return [replace(piece, id=name, place=Place(here.file, here.line, name)) for name in names]


def _names(table: Fields) -> tuple[str, ...]:
    one, several = table.text("id"), table.texts("ids")
    if one and several:
        table.say("piece-id", "id and ids say the same thing twice. Keep one.", "ids")
    names = (one,) if one else several
    if not names:
        table.missing("id", '"B07"')
    return names


def _balance(table: Fields) -> Piece:
    numbers = {
        key: _float(table.number(key, NOT_NEGATIVE))
        for key in ("capacity_g", "readability_mg", "repeatability_mg", "linearity_mg", "sensitivity_ppm")
    }
    return Piece("", Kind.BALANCE, weighing=Weighing(**numbers), note=table.text("note"), place=table.place())


def _float(number: Written | None) -> float:
    return 0.0 if number is None else float(number)


def _glass(table: Fields, kind: Kind) -> Piece | None:
    capacity = _capacity(table, kind)
    division = None
    if kind is Kind.BURETTE:
        division = table.number("division_mL", ABOVE_ZERO, '"0.1"')
    material = table.text("material") or DEFAULT_GLASS.name
    glass, findings = find_glass(material, table.place("material"))
    table.findings.extend(findings)
    limit, length = table.number("limit_mL", ABOVE_ZERO), table.number("length_cm", ABOVE_ZERO)
    waiting, times = table.number("waiting_s", _WAITING), table.numbers("delivery_s", ABOVE_ZERO)
    tap = _tap(table, kind)
    grade, standard, remark = table.text("class"), table.text("standard"), table.text("note")
    if table.has("delivery_s") and (len(times) != 2 or float(times[0]) >= float(times[1])):
        table.say(
            "delivery-range", "delivery_s is a range from the shorter to the longer: [35, 45].", "delivery_s"
        )
    if capacity is None or (kind is Kind.BURETTE and division is None):
        return None
    if division is not None and division.value > capacity.value / 2:
        message = f"A division of {division.text} mL does not fit on a burette of {capacity.text} mL."
        table.say("division-too-large", message, "division_mL")
        return None
    return Piece(
        "", kind, capacity.value, division.value if division is not None else None, grade, standard,
        None if limit is None else float(limit), glass.name if glass else material, tap,
        None if waiting is None else float(waiting),
        (float(times[0]), float(times[1])) if len(times) == 2 else None,
        None if length is None else float(length), None, remark, table.place(),
    )  # fmt: skip


def _capacity(table: Fields, kind: Kind) -> Written | None:
    """Return the capacity; one that looks like litres is refused with what was perhaps meant."""
    number = table.number("capacity_mL", ABOVE_ZERO, _EXAMPLES[kind])
    if number is None or _SIZES[kind].holds(float(number)):
        return number
    thousandfold = number.value * Decimal(1000)
    meant = (
        f" If that is in litres, write {thousandfold.normalize():f}."
        if _SIZES[kind].holds(float(thousandfold))
        else ""
    )
    message = f"A {kind.value} of {number.text} mL is not known. Write a number {_SIZES[kind].words}.{meant}"
    table.say("capacity-impossible", message, "capacity_mL")
    return None


def _tap(table: Fields, kind: Kind) -> Tap:
    if kind is not Kind.BURETTE:
        return Tap.NONE
    tap = table.choice("tap", [Tap.PTFE.value, Tap.GLASS.value])
    if not table.has("tap"):
        message = (
            'The tap is not described, so nothing is said of alkali left in it. Write tap = "PTFE" or '
            '"ground glass".'
        )
        table.findings.append(note("tap-unknown", message, table.place()))
    return Tap(tap)
