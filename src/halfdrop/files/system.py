"""System files: what is in the flask and in the burette, and which constants hold."""

from __future__ import annotations

from collections.abc import Mapping, Sequence
from dataclasses import dataclass, replace
from pathlib import Path

from halfdrop.core.chemistry.formula import FormulaError, parse_formula
from halfdrop.core.equilibrium import system as systems
from halfdrop.core.equilibrium.acids import Acid
from halfdrop.core.equilibrium.activity import MODELS, at_temperature
from halfdrop.core.equilibrium.complexation import conditional
from halfdrop.core.equilibrium.constants import ConstantSet
from halfdrop.core.equilibrium.end_point import Indicator
from halfdrop.core.equilibrium.precipitation import Salt
from halfdrop.core.equilibrium.redox import Forms
from halfdrop.core.equilibrium.roots import NoEquilibrium
from halfdrop.core.equilibrium.silver_end_points import adsorption, chromate, iron_thiocyanate
from halfdrop.core.equilibrium.system import System
from halfdrop.core.findings import Finding
from halfdrop.files.equilibria import constant_set, own_constants, set_names
from halfdrop.files.fields import ABOVE_ZERO, NOT_NEGATIVE, Fields, Range, Spot, known
from halfdrop.files.solutes import Solutes
from halfdrop.files.text_files import attention, note, refuses
from halfdrop.files.toml_text import TomlText, read_toml

KINDS = {
    "acid-base": "minteq-v4",
    "complexation": "textbook-0.1",
    "redox": "formal-potentials",
    "precipitation": "openstax",
}
LIGAND = "EDTA"
SILVER, CHROMATE, THIOCYANATE = "Ag^+", "CrO4^2-", "SCN^-"
MOST_POINTS = 20_000
_TEMPERATURE = Range("from 0 to 100", lambda value: 0 <= value <= 100)
_PH = Range("from -1 to 15", lambda value: -1 <= value <= 15)
_PER_CENT = Range("above 0, below 100", lambda value: 0 < value < 100)


@dataclass(frozen=True)
class SystemRead:
    """A titration as a file gives it.

    Attributes:
        title: what it is.
        system: the curve.
        flask_ml: volume in the flask.
        tolerance: error of the titre that is accepted, as a part.
        drop_ml: volume of a drop.
        to_ml: how far the curve goes; None for past the last equivalence point.
        points: how many rows the table has at least.
        constants: the set, in words.
        model: activity model, in words.
    """

    title: str
    system: System
    flask_ml: float
    tolerance: float
    drop_ml: float
    to_ml: float | None
    points: int
    constants: str
    model: str


def read_system(path: Path) -> tuple[SystemRead | None, tuple[Finding, ...]]:
    """Read a system file; None with the complaints when it cannot be used."""
    text, findings = read_toml(path)
    return (None, tuple(findings)) if text is None else system_from(text)


def system_from(text: TomlText) -> tuple[SystemRead | None, tuple[Finding, ...]]:
    """Return the system that a text describes."""
    findings: list[Finding] = []
    fields = Fields(text.data, Spot(text), findings)
    read = _Reader(fields).read()
    return (None if refuses(findings) else read), tuple(findings)


class _Reader:
    """Reads one system file."""

    def __init__(self, fields: Fields) -> None:
        self.fields, self.findings = fields, fields.findings
        self.kind = fields.choice("kind", KINDS)
        if not self.kind and not fields.table.get("kind"):
            fields.missing("kind", '"acid-base"')
        self.temperature = _number(fields, "temperature_degC", 25.0, _TEMPERATURE)
        self.ph = _number(fields, "pH", 0.0, _PH)
        self.flask_ml = _number(fields, "flask_mL", 0.0, ABOVE_ZERO, example='"25.00"')
        self.medium = fields.text("medium")
        self.auxiliary = _amounts(fields, "auxiliary")
        self.flask, self.burette = (
            _amounts(fields, "flask", wanted=True),
            _amounts(fields, "burette", wanted=True),
        )

    def read(self) -> SystemRead | None:
        """Return the whole, with what is wrong among the findings."""
        fields = self.fields
        title = fields.text("title", default="a titration")
        tolerance = _number(fields, "tolerance_percent", 0.1, _PER_CENT) / 100
        drop = _number(fields, "drop_mL", 0.05, ABOVE_ZERO)
        to_ml = fields.number("to_mL", ABOVE_ZERO)
        points = fields.whole("points", 2) or 101
        if points > MOST_POINTS:
            fields.say(
                "too-many-points",
                f"{points} points are asked for. Ask for {MOST_POINTS} at most; "
                "near the end points there are rows for every half drop anyway.",
                "points",
                MOST_POINTS,
            )
        model = fields.choice("activity", MODELS, "ideal")
        constants = self._constants()
        fields.finish("dissolves")  # asked for later, of acids and bases
        if not self.kind or refuses(self.findings):
            return None
        system = self._system(constants, model)
        if system is None:
            return None
        if not system.equivalences:
            fields.say(
                "nothing-reacts",
                "What is in the burette does not react with what is in the flask, so there is no "
                "equivalence point. Look at both tables.",
                "burette",
            )
        of = f"{constants.title} ({constants.name}): {constants.source}"
        words = MODELS[model].says if self.kind == "acid-base" else "concentrations stand for activities"
        return SystemRead(
            title,
            system,
            self.flask_ml,
            tolerance,
            drop,
            None if to_ml is None else float(to_ml),
            points,
            of,
            words,
        )

    def _constants(self) -> ConstantSet:
        name = self.fields.choice("constants", set_names(), KINDS.get(self.kind, "minteq-v4"))
        own = own_constants(self.fields)
        chosen = constant_set(name)
        merged = replace(
            chosen,
            acids={**chosen.acids, **own.acids},
            metals={**chosen.metals, **own.metals},
            salts=(*own.salts, *chosen.salts),
            couples=(*own.couples, *chosen.couples),
        )
        return merged.at(self.temperature)

    def _system(self, constants: ConstantSet, model: str) -> System | None:
        make = {
            "acid-base": self._acid_base,
            "complexation": self._complexation,
            "redox": self._redox,
            "precipitation": self._precipitation,
        }[self.kind]
        try:
            return make(constants, model)
        except NoEquilibrium as error:
            self.fields.say(
                "no-equilibrium",
                f"No state of the flask fits: {error}. Look at concentrations and constants.",
                "flask",
            )
            return None

    # acids and bases

    def _acid_base(self, constants: ConstantSet, model: str) -> System | None:
        solutes = Solutes(self.fields, constants)
        sides = [solutes.mixture("flask", self.flask), solutes.mixture("burette", self.burette)]
        if refuses(self.findings):
            return None
        names = tuple(dict.fromkeys(name for side in sides for name in side.totals))
        acids = [constants.acids[name] for name in names]
        self._say_temperature(names, constants)
        activity = at_temperature(MODELS[model], self.temperature)
        if activity.ideal and constants.ionic_strength == 0:
            self.findings.append(
                note(
                    "ideal-solution",
                    "The constants hold at ionic strength 0 and are used for an ideal solution. "
                    'activity = "davies-0.3" takes the ions into account.',
                    self.fields.place("activity"),
                )
            )
        return systems.acid_base(acids, sides[0], self.flask_ml, sides[1], constants.pkw, activity)

    def _say_temperature(self, names: tuple[str, ...], constants: ConstantSet) -> None:
        original = constant_set(constants.name)
        fixed = original.without_temperature(names, self.temperature)
        if fixed:
            message = (
                f"The set {constants.name} has no constants for {', '.join(fixed)} "
                f"at {self.temperature:g} °C; those of {original.temperature_degC:g} °C are used."
            )
            self.findings.append(
                attention("constants-of-another-temperature", message, self.fields.place("temperature_degC"))
            )

    # the other kinds

    def _complexation(self, constants: ConstantSet, model: str) -> System | None:
        del model
        ligand: Acid | None = constants.acids.get(LIGAND)
        if ligand is None or not self.fields.has("pH"):
            self.fields.missing("pH", "10.0")
            return None
        sides = [
            {("ligand" if name == LIGAND else name): value for name, value in side.items()}
            for side in (self.flask, self.burette)
        ]
        ions = [name for name in dict.fromkeys([*sides[0], *sides[1]]) if name != "ligand"]
        missing = [ion for ion in ions if ion not in constants.metals]
        for ion in missing:
            self.fields.say(
                "constants-missing",
                f"The set {constants.name} has no complex of {ion} with {LIGAND}. "
                f"{known(ion, list(constants.metals))}",
                "flask",
            )
        if missing or not ions:
            return None
        metals = [conditional(constants.metals[ion], ligand, self.ph, self.auxiliary) for ion in ions]
        return systems.complexation(metals, sides[0], self.flask_ml, sides[1])

    def _redox(self, constants: ConstantSet, model: str) -> System | None:
        del model
        media = tuple(dict.fromkeys(one.medium for one in constants.couples))
        medium = self.medium or ("as given" if "as given" in media else "")
        if medium not in media:
            self.fields.say(
                "medium-needed",
                f"A potential belongs to a medium. {known(medium, media)}",
                "medium",
                list(media),
            )
            return None
        halves = [one for one in constants.couples if one.medium in (medium, "as given")]
        sides: list[dict[str, Forms]] = [{}, {}]
        used = {}
        for index, (key, amounts) in enumerate((("flask", self.flask), ("burette", self.burette))):
            for name, value in amounts.items():
                half = next((one for one in halves if name in (one.oxidised, one.reduced)), None)
                if half is None:
                    names = [form for one in halves for form in (one.oxidised, one.reduced)]
                    self.fields.say(
                        "couple-unknown",
                        f"No couple with {name} is known in {medium}. {known(name, names)}",
                        key,
                        names,
                    )
                    continue
                before = sides[index].get(half.couple.name, Forms())
                form = "oxidised" if name == half.oxidised else "reduced"
                sides[index][half.couple.name] = replace(before, **{form: value})
                used[half.couple.name] = half.couple
        if refuses(self.findings):
            return None
        return systems.redox(
            list(used.values()), sides[0], self.flask_ml, sides[1], self.ph, self.temperature
        )

    def _precipitation(self, constants: ConstantSet, model: str) -> System | None:
        del model
        metals = [one.metal for one in constants.salts]
        names = [*self.flask, *self.burette]
        metal = next((name for name in names if name in metals), "")
        if not metal:
            self.fields.say(
                "metal-missing",
                f"No metal that precipitates is in flask or burette. {known('', sorted(set(metals)))}",
                "burette",
                sorted(set(metals)),
            )
            return None
        salts = {one.salt.anion: one.salt for one in reversed(constants.salts) if one.metal == metal}
        for key, amounts in (("flask", self.flask), ("burette", self.burette)):
            for name in amounts:
                if name != metal and name not in salts:
                    self.fields.say(
                        "constants-missing",
                        f"The set {constants.name} has no salt of {metal} with {name}. "
                        f"{known(name, list(salts))}",
                        key,
                        list(salts),
                    )
        if refuses(self.findings):
            return None
        sides = [
            {("metal" if name == metal else name): value for name, value in side.items()}
            for side in (self.flask, self.burette)
        ]
        present = [salt for anion, salt in salts.items() if anion in names]
        system = systems.precipitation(present, metal, sides[0], self.flask_ml, sides[1])
        return replace(system, indicators=_of_silver(present, constants, sides[1]) if metal == SILVER else ())


def _of_silver(
    present: Sequence[Salt], constants: ConstantSet, burette: Mapping[str, float]
) -> tuple[Indicator, ...]:
    """Return the end points that silver has: in the burette chromate and adsorption, in the flask iron."""
    p_ksp = {one.salt.anion: one.salt.p_ksp for one in constants.salts if one.metal == SILVER}
    weakest = min(present, key=lambda salt: salt.p_ksp / salt.metals)
    found = []
    if "metal" in burette:
        if CHROMATE in p_ksp and weakest.anion != CHROMATE:
            found.append(chromate(p_ksp[CHROMATE]))
        if weakest.metals == 1:
            found.append(adsorption(weakest))
    elif weakest.anion == THIOCYANATE:
        found.append(iron_thiocyanate(weakest))
    return tuple(found)


def _number(fields: Fields, key: str, default: float, allowed: Range, example: str = "") -> float:
    number = fields.number(key, allowed, example)
    return default if number is None else float(number)


def _amounts(fields: Fields, key: str, *, wanted: bool = False) -> dict[str, float]:
    """Return mol/L by formula (a ligand by its name)."""
    table = fields.sub(key)
    if table is None or not table.table:
        if wanted:
            message = (
                f"[{key}] is missing: what it holds, mol/L. "
                f'Write it like this: [{key}] and below it NaOH = "0.1000".'
            )
            fields.say("key-missing", message, key)
        return {}
    found = {}
    for name in table.table:
        number = table.number(name, NOT_NEGATIVE)
        try:
            written = name if name == LIGAND else parse_formula(name).notation
        except FormulaError as error:
            table.say(
                "formula-not-read", f'{error} Write a formula, with the charge of an ion: "Ca^2+".', name
            )
            continue
        if number is not None:
            found[written] = float(number)
    return found
