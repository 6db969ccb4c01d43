"""The class file: who titrates what and when, the solutions that takes, and what the store room has.

``halfdrop makeup`` and ``halfdrop day`` read the same file; the part about equipment is only for the day.
"""

from __future__ import annotations

import datetime as dt
from collections.abc import Mapping
from dataclasses import dataclass, replace
from pathlib import Path

from halfdrop.core.findings import Finding, Refused
from halfdrop.core.solutions.amounts import Needs
from halfdrop.core.solutions.reagent import Reagent
from halfdrop.core.solutions.store import Balance, Lot, RoomAir, Stock, Vessel, Wanted
from halfdrop.core.titration.method import Method
from halfdrop.files.equipment import Gear, read_gear
from halfdrop.files.fields import ABOVE_ZERO, NOT_NEGATIVE, Fields, Range, Spot, known
from halfdrop.files.methods import read_method
from halfdrop.files.reagents import for_species, read_reagents, shipped_reagents
from halfdrop.files.store_room import (
    read_lots,
    read_room_air,
    read_stocks,
    read_vessels,
    read_weighing,
)
from halfdrop.files.text_files import refuses
from halfdrop.files.toml_text import TomlText, read_toml
from halfdrop.files.unknowns import Unknown, read_unknowns

USES = ("burette", "pipette", "reagent")
SPARE = Range("from 0 to 2 (0.25 for a quarter)", lambda value: 0 <= value <= 2)
MOST_PEOPLE = 10_000
# below a billionth of a mole in a litre there is nothing that a balance or cylinder could measure out
STRENGTH = Range("of mol/L, from 0.000000001 to 25", lambda value: 1e-9 <= value <= 25)
_TITRANT, _ALIQUOT = "titrant", "aliquot"


@dataclass(frozen=True)
class Habits:
    """What everybody does with a burette or pipette: rinses, priming, what is left over, the spare part."""

    rinses: int = 3
    rinse_ml: float = 5.0
    priming_ml: float = 2.0
    dead_ml: float = 5.0
    spare: float = 0.25


@dataclass(frozen=True)
class ClassFile:
    """A class file as read.

    Attributes:
        title: of the class.
        when: when it begins, or None.
        made_on: day on which the solutions are made, "" where not given.
        analysts, benches, trials: how many people (or pairs), benches, trials of each.
        habits, room, balance, buoyancy: how it is done here.
        vessels, lots, stocks: the store room.
        wanted: the solutions.
        unknowns: samples to be handed out.
        gear: equipment.
        methods: of the class, by the name they go by in the file.
        reagents: shipped ones and those of its own files.
        file, digest: where this was read.
    """

    title: str
    when: dt.datetime | None
    made_on: str
    analysts: int
    benches: int
    trials: int
    habits: Habits
    room: RoomAir
    balance: Balance
    buoyancy: bool
    vessels: tuple[Vessel, ...]
    lots: tuple[Lot, ...]
    stocks: tuple[Stock, ...]
    wanted: tuple[Wanted, ...]
    unknowns: tuple[Unknown, ...]
    gear: Gear
    methods: Mapping[str, Method]
    reagents: Mapping[str, Reagent]
    file: str
    digest: str


def read_class_file(path: Path) -> tuple[ClassFile, tuple[Finding, ...]]:
    """Read a class file.

    Returns:
        The file, and what was noticed that does not stop the work.

    Raises:
        Refused: with everything that is wrong in it.
    """
    toml, findings = read_toml(path)
    if toml is None:
        raise Refused(findings)
    reader = _Reader(Fields(toml.data, Spot(toml), findings), toml, path)
    found = reader.whole()
    if refuses(findings):
        raise Refused(findings)
    return found, tuple(findings)


@dataclass
class _Reader:
    top: Fields
    toml: TomlText
    path: Path

    def whole(self) -> ClassFile:
        top = self.top
        title, when, made_on = top.text("class", "class"), self.when(), top.date("made_on")
        analysts, benches = self.people("analysts", 1), self.people("benches", 1)
        trials, buoyancy = top.whole("trials", 1) or 4, top.flag("buoyancy")
        reagents, habits = self.reagents(), self.habits()
        room, balance, vessels = read_room_air(top), read_weighing(top), read_vessels(top)
        lots, stocks = read_lots(top, reagents), read_stocks(top, reagents)
        methods: dict[str, Method] = {}
        found = (
            self.wanted(row, methods, reagents, Needs(analysts, trials, 0.0), habits, stocks)
            for row in top.subs("solution")
        )
        wanted = tuple(one for one in found if one is not None)
        if not wanted and not top.has("solution"):
            top.missing("solution", '[[solution]] with species = "NaOH" and concentration_mol_L = "0.1"')
        unknowns, gear = read_unknowns(top, [one.name for one in wanted]), read_gear(top)
        top.finish()
        return ClassFile(
            title, when, made_on, analysts, benches, trials, habits, room, balance, buoyancy, vessels, lots,
            stocks, wanted, unknowns, gear, methods, reagents, str(self.path), self.toml.digest,
        )  # fmt: skip

    def people(self, key: str, default: int) -> int:
        number = self.top.whole(key, 1)
        if number is not None and number > MOST_PEOPLE:
            self.top.say("number-out-of-range", f"{number} is given. Write {MOST_PEOPLE} at most.", key)
            return default
        return number or default

    def when(self) -> dt.datetime | None:
        value = self.top.raw("when")
        if value is None or isinstance(value, dt.datetime):
            return value.replace(tzinfo=None) if value else None
        try:
            return dt.datetime.fromisoformat(str(value)).replace(tzinfo=None)
        except ValueError:
            message = f'"{value}" is not a day and a time as they are written here: "2026-09-17 14:00".'
            self.top.say("not-a-time", message, "when")
            return None

    def reagents(self) -> dict[str, Reagent]:
        found = dict(shipped_reagents())
        for name in self.top.texts("reagent_files"):
            reagents, findings = read_reagents(self.path.parent / name, name)
            self.top.findings.extend(findings)
            found |= {one.name: one for one in reagents}
        return found

    def habits(self) -> Habits:
        table = self.top.sub("use")
        if table is None:
            return Habits()
        plain = Habits()
        rinses = table.whole("rinses")
        numbers = {
            "rinse_ml": table.number("rinse_mL", NOT_NEGATIVE),
            "priming_ml": table.number("priming_mL", NOT_NEGATIVE),
            "dead_ml": table.number("dead_mL", NOT_NEGATIVE),
            "spare": table.number("spare", SPARE),
        }
        table.finish()
        given = {name: float(number) for name, number in numbers.items() if number is not None}
        return replace(plain, rinses=plain.rinses if rinses is None else rinses, **given)

    def wanted(
        self,
        row: Fields,
        methods: dict[str, Method],
        reagents: Mapping[str, Reagent],
        people: Needs,
        habits: Habits,
        stocks: tuple[Stock, ...],
    ) -> Wanted | None:
        method = self.method(row, methods)
        used = row.choice("used", USES, "burette" if method else "reagent")
        species = row.text("species", self.default_species(method, used), "" if method else '"NaOH"')
        mol_l = row.number("concentration_mol_L", STRENGTH)
        strength = float(mol_l) if mol_l is not None else self.default_strength(method, used)
        made_from, volume = row.text("from"), row.number("volume_mL", ABOVE_ZERO)
        trial, trials = row.number("per_trial_mL", ABOVE_ZERO), row.whole("trials", 1)
        name = row.text("name", f"{species} {strength:g} mol/L")
        row.finish()
        self.check_source(row, species, made_from, reagents, stocks)
        if not strength and not row.has("concentration_mol_L"):
            row.missing("concentration_mol_L", '"0.1"')
        each = float(trial) if trial is not None else self.default_trial(row, method, used)
        needs = None
        if each:
            needs = replace(
                people, trials=trials or people.trials, per_trial_ml=each, rinses=habits.rinses,
                rinse_ml=habits.rinse_ml, priming_ml=habits.priming_ml if used == "burette" else 0.0,
                dead_ml=habits.dead_ml, spare=habits.spare,
            )  # fmt: skip
        elif volume is None and not row.has("volume_mL", "per_trial_mL"):
            row.missing("volume_mL", '"1000", or per_trial_mL = "25"')
        if not strength or not species or (needs is None and volume is None):
            return None
        at_least = 0.0 if volume is None else float(volume)
        return Wanted(
            name, species, strength, made_from, method.name if method else "", used, needs, at_least,
            row.place(),
        )  # fmt: skip

    def method(self, row: Fields, methods: dict[str, Method]) -> Method | None:
        name = row.text("method")
        if not name:
            return None
        if name not in methods:
            method, findings = read_method(name, self.path.parent, row.place("method"))
            row.findings.extend(findings)
            if method is None:
                return None
            methods[name] = method
        return methods[name]

    def default_species(self, method: Method | None, used: str) -> str:
        """Return what the method has in its burette; nothing for other uses."""
        if method is None or used != "burette":
            return ""
        titrant = method.quantities.get(_TITRANT)
        return titrant.species if titrant and titrant.species else method.analyte

    def default_strength(self, method: Method | None, used: str) -> float:
        if method is None or used != "burette" or _TITRANT not in method.quantities:
            return 0.0
        typical = method.quantities[_TITRANT].typical
        return float(typical) if typical else 0.0

    def default_trial(self, row: Fields, method: Method | None, used: str) -> float:
        """Return the largest expected titre, or the usual aliquot of the method."""
        if method is None:
            return 0.0
        if used == "burette":
            return float(method.titre_ml[1])
        aliquot = method.quantities.get(_ALIQUOT)
        if used == "pipette" and aliquot is not None and aliquot.typical:
            return float(aliquot.typical)
        if used == "pipette":
            row.missing("per_trial_mL", '"25"')
        return 0.0

    def check_source(
        self,
        row: Fields,
        species: str,
        made_from: str,
        reagents: Mapping[str, Reagent],
        stocks: tuple[Stock, ...],
    ) -> None:
        names = [*reagents, *(one.name for one in stocks)]
        if made_from and made_from not in names:
            message = f"There is no reagent or stock '{made_from}'. {known(made_from, names)}"
            row.say("reagent-unknown", message, "from")
        elif species and not made_from and next(for_species(species, reagents), None) is None:
            message = (
                f"No reagent here makes {species}, and nothing is known of its dangers. Name one under from, "
                "or add a file of your own under reagent_files, with its cautions."
            )
            row.say("reagent-unknown", message, "species")
