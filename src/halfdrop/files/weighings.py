"""Weighings of water, row by row, and how the deliveries of a piece hang together."""

from __future__ import annotations

from collections.abc import Iterable
from dataclasses import dataclass, field
from decimal import Decimal

from halfdrop.core.findings import Place
from halfdrop.core.glassware.readings import Reading, read_text
from halfdrop.core.glassware.shelf import Kind, Piece
from halfdrop.core.glassware.thermal import check_temperature
from halfdrop.files.fields import ABOVE_ZERO, NOT_NEGATIVE, Fields, as_text, known
from halfdrop.files.numbers import Written, shown
from halfdrop.files.text_files import attention

KEYS = (
    "piece", "run", "mark_mL", "from_mL", "initial_mL", "final_mL", "tare_g", "gross_g", "mass_g", "total_g",
    "temperature_degC", "left_out", "by", "note",
)  # fmt: skip
FROM_ZERO, SUCCESSIVE = "from zero", "successive"
_WATER_G_ML = 0.998  # good enough to tell a slip from a correction
_NEAR = Decimal(5)  # divisions by which a level may miss the mark that was meant
_LIKELY = (0.9, 1.1)


@dataclass(frozen=True)
class Delivery:
    """One delivery that was weighed, as written down.

    Attributes:
        piece: its identity.
        run: label of the run.
        start_mark, stop_mark: marks meant at its start and end, 0 for the zero line.
        start, stop: levels as read, or the marks where nothing else was written.
        gross_g, tare_g: balance readings, exact.
        written: the weighing as written.
        temperature_c: of the water, where it was noted.
        left_out: why it is not used; "" when it is.
        note: a remark.
        place: where it was written.
    """

    piece: str
    run: str
    start_mark: Decimal
    stop_mark: Decimal
    start: Decimal
    stop: Decimal
    gross_g: Decimal
    tare_g: Decimal
    written: str
    temperature_c: float | None = None
    left_out: str = ""
    note: str = ""
    place: Place = field(default_factory=Place)

    @property
    def read_ml(self) -> Decimal:
        """Volume read on the scale."""
        return self.stop - self.start

    @property
    def net_g(self) -> Decimal:
        """Mass of water as the balance shows it."""
        return self.gross_g - self.tare_g


@dataclass
class _Last:
    """Where a run stands: the mark and level last reached, and the balance's total."""

    mark: Decimal = Decimal(0)
    level: Decimal = Decimal(0)
    total: Decimal | None = None
    runs: int = 1
    label: str = ""


@dataclass
class DeliveryReader:
    """Reads one row of weighings after the other.

    Attributes:
        pieces: by identity.
        way: whole deliveries from zero, or successive intervals.
    """

    pieces: dict[str, Piece]
    way: str
    last: dict[str, _Last] = field(default_factory=dict)

    def read(self, tables: Iterable[Fields]) -> list[Delivery]:
        """Return the deliveries of some rows; one that cannot be used is a finding."""
        return [one for table in tables if (one := self._delivery(table)) is not None]

    def _delivery(self, table: Fields) -> Delivery | None:
        piece = self._piece(table)
        run = table.text("run")
        mark = self._mark(table, piece)
        before = self._before(piece, run, mark)
        start_mark = self._start_mark(table, before)
        start, stop = self._levels(table, piece, before, start_mark, mark)
        weighing = self._weighing(table, before)
        temperature = table.number("temperature_degC")
        if temperature is not None:
            table.findings.extend(check_temperature(float(temperature), table.place("temperature_degC")))
        left_out, remark = table.text("left_out"), " ".join((table.text("note"), table.text("by"))).strip()
        table.finish(*KEYS)
        if piece is None or mark is None or start is None or stop is None or weighing is None:
            return None
        gross, tare, written = weighing
        one = Delivery(
            piece.id, run or str(before.runs), start_mark, mark, start, stop, gross, tare, written,
            None if temperature is None else float(temperature), left_out, remark, table.place(),
        )  # fmt: skip
        _check(table, piece, one)
        before.mark, before.level = mark, stop
        return one

    def _piece(self, table: Fields) -> Piece | None:
        name = table.text("piece")
        if not name and len(self.pieces) == 1:
            return next(iter(self.pieces.values()))
        if not name:
            table.missing("piece", '"B07"')
            return None
        if name not in self.pieces:
            message = f"No piece {shown(name)} is described. {known(name, self.pieces)}"
            table.say("piece-unknown", message, "piece", list(self.pieces))
            return None
        return self.pieces[name]

    def _mark(self, table: Fields, piece: Piece | None) -> Decimal | None:
        """Return the mark that was meant; a pipette and a flask have only one."""
        capacity = piece.capacity_ml if piece is not None else None
        one_mark = piece is not None and piece.kind is not Kind.BURETTE
        number = table.number("mark_mL", ABOVE_ZERO, "" if one_mark else '"10"')
        if number is None:
            return capacity if one_mark and not table.has("mark_mL") else None
        if capacity is not None and (number.value > capacity or (one_mark and number.value != capacity)):
            thousand = number.value * 1000
            meant = f" If that is in litres, write {thousand.normalize():f}." if thousand <= capacity else ""
            name = piece.id if piece is not None else ""
            message = f"{number.text} mL is no mark of {name}, which has {capacity:f} mL.{meant}"
            table.say("mark-off-scale", message, "mark_mL")
            return None
        return number.value

    def _before(self, piece: Piece | None, run: str, mark: Decimal | None) -> _Last:
        """Return where the run stands; a new one begins by its label, or when marks start again."""
        name = piece.id if piece is not None else ""
        last = self.last.setdefault(name, _Last())
        anew = run != last.label or (not run and mark is not None and mark <= last.mark)
        if anew:
            last = self.last[name] = _Last(runs=last.runs + (last.mark > 0), label=run)
        return last

    def _start_mark(self, table: Fields, before: _Last) -> Decimal:
        number = table.number("from_mL", NOT_NEGATIVE)
        if number is not None:
            return number.value
        return before.mark if self.way == SUCCESSIVE else Decimal(0)

    def _levels(
        self, table: Fields, piece: Piece | None, before: _Last, start_mark: Decimal, mark: Decimal | None
    ) -> tuple[Decimal | None, Decimal | None]:
        """Return the levels at both ends: as read, else where the run stands, else the marks."""
        initial, final = _level(table, "initial_mL"), _level(table, "final_mL")
        if initial is not None:
            start: Decimal | None = initial.decimal
        elif table.has("initial_mL"):
            start = None
        else:
            start = before.level if start_mark == before.mark else start_mark
        stop = final.decimal if final is not None else None if table.has("final_mL") else mark
        capacity = piece.capacity_ml if piece is not None else None
        for key, level in (("initial_mL", start), ("final_mL", stop)):
            if capacity is not None and level is not None and level > capacity:
                message = f"{level} mL is past the last line of {capacity:f} mL. Read it again."
                table.say("level-off-scale", message, key)
                return None, None
        return start, stop

    def _weighing(self, table: Fields, before: _Last) -> tuple[Decimal, Decimal, str] | None:
        """Return gross, tare and the text of a weighing, in whichever of three ways it was written."""
        given = {key: table.number(key, NOT_NEGATIVE) for key in ("tare_g", "gross_g", "mass_g", "total_g")}
        ways = [key for key in ("gross_g", "mass_g", "total_g") if table.has(key)]
        if len(ways) != 1:
            message = (
                "A weighing is written in one of three ways: tare_g and gross_g; mass_g, when the balance "
                "was tared; or total_g, the running total of a vessel that is not emptied."
            )
            table.say("weighing-ways", message, ways[1] if len(ways) > 1 else "gross_g", ways)
            return None
        number, tare = given[ways[0]], given["tare_g"]
        if number is None or (tare is None and table.has("tare_g")):
            return None
        if ways[0] == "gross_g" and tare is None:
            table.missing("tare_g", '"25.1234"')
            return None
        if ways[0] == "total_g":
            return self._total(table, number, tare, before)
        off = Decimal(0) if tare is None or ways[0] == "mass_g" else tare.value
        if ways[0] == "mass_g" and tare is not None:
            table.say("weighing-ways", "mass_g is without the vessel, so it has no tare. Keep one.", "tare_g")
        if number.value <= off:
            message = f"{number.text} g is not above the tare, {off} g. Look at both again."
            table.say("gross-below-tare", message, ways[0])
            return None
        written = number.text if ways[0] == "mass_g" or tare is None else f"{number.text} - {tare.text}"
        return number.value, off, written

    def _total(
        self, table: Fields, total: Written, tare: Written | None, before: _Last
    ) -> tuple[Decimal, Decimal, str] | None:
        off = tare.value if tare is not None else before.total if before.total is not None else Decimal(0)
        before.total = total.value
        if total.value <= off:
            message = (
                f"The total on the balance went from {off} g to {total.text} g, and water was added in "
                "between. Look at both, and at the order of the rows."
            )
            table.say("total-fell", message, "total_g")
            return None
        return total.value, off, f"{total.text} - {off}"


def _level(table: Fields, key: str) -> Reading | None:
    value = table.raw(key)
    if value is None:
        return None
    reading, findings = read_text(as_text(value), table.place(key))
    table.findings.extend(findings)
    return reading


def _check(table: Fields, piece: Piece, one: Delivery) -> None:
    """Find a delivery that cannot be, or that was likely written in another unit."""
    if one.read_ml <= 0:
        message = f"The level went from {one.start} to {one.stop} mL, which delivers nothing. Look at both."
        table.say("nothing-delivered", message, "final_mL")
        return
    if piece.division_ml is not None:
        for key, level, mark in (
            ("final_mL", one.stop, one.stop_mark),
            ("initial_mL", one.start, one.start_mark),
        ):
            if abs(level - mark) > _NEAR * piece.division_ml:
                message = (
                    f"The level is {level} mL and the mark meant {mark} mL, more than {_NEAR} divisions "
                    "away. Its correction is taken on the straight line between marks. Look whether it was "
                    "misread."
                )
                table.findings.append(attention("level-far-from-mark", message, table.place(key), str(level)))
    ratio = float(one.net_g) / _WATER_G_ML / float(one.read_ml)
    if not _LIKELY[0] <= ratio <= _LIKELY[1]:
        table.say("mass-does-not-fit", _misfit(one, ratio), _mass_key(table))


def _mass_key(table: Fields) -> str:
    return next((key for key in ("gross_g", "mass_g", "total_g") if table.has(key)), "mass_g")


def _misfit(one: Delivery, ratio: float) -> str:
    wanted = float(one.read_ml) * _WATER_G_ML
    said = f"{one.net_g} g of water do not fit the {one.read_ml} mL read, about {wanted:.2f} g."
    for factor, words in ((1000.0, "milligrams"), (0.001, "kilograms, or the volume in litres")):
        if _LIKELY[0] <= ratio / factor <= _LIKELY[1]:
            return f"{said} It looks like {words}: write masses in grams and volumes in millilitres."
    return f"{said} Look whether the tare was taken off, and at the digits of both."
