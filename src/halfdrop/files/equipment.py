"""Equipment of a class: what is set out for each analyst, bench and class, what there is, what came back."""

from __future__ import annotations

import tomllib
from collections.abc import Iterator, Mapping
from dataclasses import dataclass
from functools import lru_cache
from importlib import resources

from halfdrop.files.fields import Fields
from halfdrop.files.text_files import attention

PER = ("analyst", "bench", "class")


@dataclass(frozen=True)
class Piece:
    """One kind of thing that is set out.

    Attributes:
        item: what it is called.
        per: for each ``analyst``, ``bench`` or ``class``.
        count: how many.
        have: how many there are, or None where nobody counted.
        source: who says so.
    """

    item: str
    per: str
    count: int
    have: int | None = None
    source: str = ""


@dataclass(frozen=True)
class Returned:
    """What came back of one kind: whole, and broken."""

    item: str
    back: int
    broken: int


@dataclass(frozen=True)
class Gear:
    """Equipment: what is set out, what came back, and the hours in which how many people work."""

    pieces: tuple[Piece, ...]
    returned: tuple[Returned, ...]
    opens: float = 8.0
    closes: float = 17.0
    weekend: bool = False
    staff: int = 1


@lru_cache(maxsize=1)
def usual_pieces() -> tuple[Piece, ...]:
    """Return what a titration class usually sets out."""
    text = (resources.files("halfdrop") / "data" / "set-out.toml").read_text(encoding="utf-8")
    rows = tomllib.loads(text)["piece"]
    return tuple(Piece(row["item"], row["per"], row["count"], None, row["source"]) for row in rows)


def read_gear(top: Fields) -> Gear:
    """Read ``[[equipment]]``, ``[[returned]]`` and ``[hours]``; what is not named is set out as usual."""
    pieces: dict[str, Piece] = {one.item: one for one in usual_pieces()}
    for row in top.subs("equipment"):
        one = _piece(row, pieces)
        if one is not None:
            pieces[one.item] = one
    returned = tuple(_returned(top, pieces))
    return Gear(tuple(one for one in pieces.values() if one.count), returned, *_hours(top))


def _piece(row: Fields, usual: Mapping[str, Piece]) -> Piece | None:
    item = row.text("item", example='"burette, 50 mL"')
    before = usual.get(item)
    per = row.choice("per", PER, before.per if before else "analyst")
    count, have = row.whole("count"), row.whole("have")
    row.finish()
    if not item:
        return None
    number = count if count is not None else before.count if before else 1
    return Piece(item, per, number, have, before.source if before else "the class file")


def _returned(top: Fields, pieces: Mapping[str, Piece]) -> Iterator[Returned]:
    for row in top.subs("returned"):
        item, back, broken = (
            row.text("item", example='"burette, 50 mL"'),
            row.whole("back"),
            row.whole("broken"),
        )
        row.finish()
        if back is None and not row.has("back"):
            row.missing("back", "24")
        if item and item not in pieces:
            message = (
                f"'{item}' came back and was not set out. Look at its name. Set out: {', '.join(pieces)}."
            )
            row.findings.append(attention("returned-unknown", message, row.place("item"), item))
        if item and back is not None:
            yield Returned(item, back, broken or 0)


def _hours(top: Fields) -> tuple[float, float, bool, int]:
    plain = Gear((), ())
    table = top.sub("hours")
    if table is None:
        return plain.opens, plain.closes, plain.weekend, plain.staff
    opens, closes, weekend = table.number("opens"), table.number("closes"), table.flag("weekend")
    staff = table.whole("staff", 1) or plain.staff
    table.finish()
    start = plain.opens if opens is None else float(opens)
    end = plain.closes if closes is None else float(closes)
    if not 0 <= start < end <= 24 or end - start < 1:
        message = "Working hours lie within a day and last an hour at least: opens = 8, closes = 17."
        table.say("hours", message, "opens")
        return plain.opens, plain.closes, weekend, staff
    return start, end, weekend, staff
