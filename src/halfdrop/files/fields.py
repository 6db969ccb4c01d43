"""Reading the fields of a table that a person wrote, gathering all that is wrong.

Each method of :class:`Fields` takes one key, says in a finding what is wrong with it (file, line, field in
words, what was given, what is accepted) and returns a value or None. :meth:`Fields.finish` complains of the
keys nobody asked for.
"""

from __future__ import annotations

import datetime as dt
import re
from collections.abc import Callable, Collection, Iterator, Mapping
from dataclasses import dataclass, field
from difflib import get_close_matches
from typing import Protocol

from halfdrop.core.findings import Finding, Place
from halfdrop.files.numbers import Written, described, read_number, shown
from halfdrop.files.text_files import refusal
from halfdrop.files.toml_lines import Path
from halfdrop.files.toml_text import NumberText

_YES = ("true", "yes", "y", "x", "1")
# Signs that show nothing, ring a bell or turn the direction of what follows: no report can set them, and a
# number after one may look like another.
_UNSEEN = re.compile("[\x00-\x08\x0b\x0c\x0e-\x1f\x7f-\x9f\u202a-\u202e\u2066-\u2069\ufffe\uffff]")
_NO = ("false", "no", "n", "0", "-")


class Source(Protocol):
    """Where fields stand: a file that knows the line of a path."""

    @property
    def file(self) -> str:
        """Name of the file."""

    def line(self, path: Path) -> int:
        """Line of a field, 0 when not known."""


@dataclass(frozen=True)
class Spot:
    """A place in a source.

    Attributes:
        source: the file.
        path: the keys that lead there.
        words: the same as a person would say it: ``trial 3, mass``.
    """

    source: Source
    path: Path = ()
    words: str = ""

    def at(self, *path: str | int, words: str = "") -> Spot:
        """Return a place further in; ``words`` replace the keys where keys say little."""
        said = words or ", ".join(str(part) for part in path)
        return Spot(self.source, (*self.path, *path), f"{self.words}, {said}" if self.words else said)

    def place(self) -> Place:
        """Return the place for a finding."""
        return Place(self.source.file, self.source.line(self.path), self.words)


@dataclass(frozen=True)
class Row:
    """A row of a table as a source: every field of it stands on one line."""

    file: str
    number: int

    def line(self, path: Path) -> int:
        """Return the number of the row."""
        del path
        return self.number


@dataclass(frozen=True)
class Range:
    """What a number may be, and the same in words.

    Attributes:
        words: ``above zero``, as in "Write a number above zero".
        holds: whether a number is accepted.
    """

    words: str
    holds: Callable[[float], bool]


ANY = Range("", lambda _: True)
ABOVE_ZERO = Range("above zero", lambda value: value > 0)
NOT_NEGATIVE = Range("of zero or more", lambda value: value >= 0)


@dataclass
class Fields:
    """The fields of one table.

    Attributes:
        table: key -> value as read.
        spot: where the table stands.
        findings: where findings go; shared by all tables of a file.
    """

    table: Mapping[str, object]
    spot: Spot
    findings: list[Finding]
    asked: dict[str, None] = field(default_factory=dict)

    def has(self, *keys: str) -> bool:
        """Tell whether one of the keys is there with something in it."""
        found = False
        for key in keys:
            self.asked[key] = None
            found = self.table.get(key) not in (None, "") or found
        return found

    def raw(self, key: str) -> object:
        """Return a value as it stands; None when it is not there or empty."""
        self.asked[key] = None
        value = self.table.get(key)
        return None if value == "" else value

    def place(self, key: str = "") -> Place:
        """Return the place of a key, or of the table."""
        return (self.spot.at(key) if key else self.spot).place()

    def say(self, code: str, message: str, key: str = "", accepted: object = None) -> None:
        """Refuse what stands under a key."""
        given = described(self.table[key]) if key in self.table else None
        self.findings.append(refusal(code, message, self.place(key), given, accepted))

    def missing(self, key: str, example: str) -> None:
        """Say that a key is needed, and how to write it."""
        self.say("key-missing", f"{key} is missing. Write it like this: {key} = {example}.", key)

    def text(self, key: str, default: str = "", example: str = "") -> str:
        """Return a text; a number is taken as its digits. With an example the key is needed."""
        value = self.raw(key)
        if value is None:
            if example:
                self.missing(key, example)
            return default
        text = as_text(value)
        if text is None:
            self.say("not-text", f"{described(value)} stands where a text is wanted.", key)
            return default
        return text

    def texts(self, key: str) -> tuple[str, ...]:
        """Return a list of texts; a single text is a list of one."""
        value = self.raw(key)
        if value is None:
            return ()
        found = [as_text(one) for one in (value if isinstance(value, list) else [value])]
        if None in found:
            self.say("not-text", 'A list of texts is wanted: ["...", "..."].', key)
        return tuple(text for text in found if text)

    def number(self, key: str, allowed: Range = ANY, example: str = "") -> Written | None:
        """Return a number. With an example the key is needed."""
        value = self.raw(key)
        if value is None:
            if example:
                self.missing(key, example)
            return None
        return self._number(value, key, allowed)

    def _number(self, value: object, key: str, allowed: Range) -> Written | None:
        number, why = read_number(value)
        wanted = " ".join(part for part in ("a number", allowed.words) if part)
        if number is None:
            self.say("not-a-number", f"{why} Write {wanted}, with a point or a comma.", key, wanted)
        elif not allowed.holds(float(number)):
            self.say("number-out-of-range", f"{number.text} is given. Write {wanted}.", key, wanted)
            return None
        return number

    def numbers(self, key: str, allowed: Range = ANY) -> tuple[Written, ...]:
        """Return a list of numbers; none when one of them cannot be read."""
        value = self.raw(key)
        if value is None:
            return ()
        if not isinstance(value, list):
            self.say("not-a-list", f"{described(value)} stands where a list is wanted: [1, 2, 3].", key)
            return ()
        found = [self._number(one, key, allowed) for one in value]
        return () if None in found else tuple(one for one in found if one is not None)

    def whole(self, key: str, least: int = 0) -> int | None:
        """Return a whole number, not below ``least``."""
        allowed = Range(
            f"that is whole, {least} or more", lambda value: value >= least and value == round(value)
        )
        number = self.number(key, allowed)
        return None if number is None else int(number.value)

    def flag(self, key: str) -> bool:
        """Return yes or no; no when it is not there."""
        value = self.raw(key)
        if value is None or isinstance(value, bool):
            return bool(value)
        text = (as_text(value) or "").lower()
        if text in _YES:
            return True
        if text not in _NO:
            self.say("not-yes-or-no", f"{described(value)} is neither yes nor no. Write true or false.", key)
        return False

    def date(self, key: str) -> str:
        """Return a day as year-month-day; "" when it is not there."""
        value = self.raw(key)
        if value is None:
            return ""
        if isinstance(value, dt.datetime):
            return value.date().isoformat()
        if isinstance(value, dt.date):
            return value.isoformat()
        try:
            return dt.date.fromisoformat(as_text(value) or "").isoformat()
        except ValueError:
            message = (
                f"{described(value)} is not a day as it is written here: year-month-day, such as 2026-09-14."
            )
            self.say("not-a-date", message, key)
            return ""

    def choice(self, key: str, options: Collection[str], default: str = "") -> str:
        """Return one of the options; capitals do not matter."""
        text = self.text(key, default)
        found = next((one for one in options if one.lower() == text.lower()), None)
        if found is None and text != default:
            self.say(
                "not-an-option",
                f"{shown(text)} is not known here. {known(text, options)}",
                key,
                list(options),
            )
        return found or default

    def sub(self, key: str) -> Fields | None:
        """Return the table under a key, or None when it is not there or no table."""
        value = self.raw(key)
        if value is None:
            return None
        if isinstance(value, dict):
            return Fields(value, self.spot.at(key), self.findings)
        self.say(
            "not-a-table", f"{described(value)} stands where a table is wanted: [{key}] and its keys.", key
        )
        return None

    def subs(self, key: str, words: str = "") -> Iterator[Fields]:
        """Yield the tables of a list of tables; a single table is a list of one.

        Args:
            key: the list.
            words: what one of them is called; its number is put after it.
        """
        value = self.raw(key)
        for number, one in enumerate(value if isinstance(value, list) else [] if value is None else [value]):
            path = (key, number) if isinstance(value, list) else (key,)
            spot = self.spot.at(*path, words=f"{words or key} {number + 1}")
            if isinstance(one, dict):
                yield Fields(one, spot, self.findings)
            else:
                message = f"{described(one)} stands where a table is wanted: [[{key}]] and its keys."
                self.findings.append(refusal("not-a-table", message, spot.place(), described(one)))

    def finish(self, *also: str) -> None:
        """Complain of every key that nobody asked for, with the nearest that is known.

        Args:
            also: keys that are known though nobody asked for them this time.
        """
        accepted = list(dict.fromkeys((*self.asked, *also)))
        for key in self.table:
            if key not in accepted:
                message = f"{shown(str(key))} is not known here. {known(str(key), accepted)}"
                spot = self.spot.at(str(key)).place()
                self.findings.append(refusal("key-unknown", message, spot, str(key), accepted))


def known(given: str, accepted: Collection[str]) -> str:
    """Return the end of a sentence that says what is accepted, and what was perhaps meant."""
    near = get_close_matches(given, list(accepted), 1, 0.6)
    meant = f"Did you mean '{near[0]}'? " if near else ""
    return f"{meant}Known: {', '.join(accepted) or 'nothing'}."


def as_text(value: object) -> str | None:
    """Return a text, the digits of a number, or a day as year-month-day; None for anything else.

    Signs that cannot be seen are named by their code.
    """
    if isinstance(value, str):
        return _UNSEEN.sub(lambda sign: f"[U+{ord(sign[0]):04X}]", value).strip()
    if isinstance(value, NumberText):
        return value.text
    if isinstance(value, bool):
        return None
    if isinstance(value, int | float):
        number, _ = read_number(value)
        return number.text if number else None
    if isinstance(value, dt.date | dt.datetime | dt.time):
        return value.isoformat()
    return None
