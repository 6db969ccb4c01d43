"""The conditions of a calibration as a person writes them: water, air, balance, evaporation, readings."""

from __future__ import annotations

from dataclasses import dataclass

from halfdrop.core.glassware.air import WEIGHTS_KG_M3
from halfdrop.core.glassware.conditions import (
    AIR_FORMULAS,
    CONVENTIONAL,
    WATER_FORMULAS,
    Air,
    Balance,
    Conditions,
    check_air,
    expansion_of,
)
from halfdrop.core.glassware.gravimetric import Spread, Taken
from halfdrop.core.glassware.shelf import Weighing
from halfdrop.core.glassware.thermal import DEFAULT_GLASS, Glass, check_temperature
from halfdrop.core.measure.estimate import Estimate, Shape, standard_from_limits
from halfdrop.files.fields import ABOVE_ZERO, NOT_NEGATIVE, Fields, Range
from halfdrop.files.text_files import note

# what is taken when nobody wrote it; half-widths of rectangular distributions; common practice, no source
ASSUMED = {
    "water": (20.0, 0.5), "temperature": (20.0, 2.0), "pressure": (1013.25, 30.0), "humidity": (50.0, 20.0),
    "evaporation": (1.0, 1.0),
}  # fmt: skip
_PRACTICE = "common practice, no source"
_WEIGHTS = Range("of kg/m3, 2000 to 22000", lambda value: 2000 <= value <= 22000)


@dataclass(frozen=True)
class Session:
    """What holds for all weighings of a file.

    Attributes:
        water_c: temperature of the water; a weighing may have its own, with the same uncertainty.
        water_formula: formula for its density.
        air: the air.
        balance: the balance.
        lost_g: evaporation of each delivery.
        name: of the session, for keys.
    """

    name: str
    water_c: Estimate
    water_formula: str
    air: Air
    balance: Balance
    lost_g: Estimate

    def conditions(self, glass: Glass = DEFAULT_GLASS) -> Conditions:
        """Return the conditions for pieces of one kind of glass."""
        return Conditions(
            self.name,
            self.water_c,
            self.air,
            self.balance,
            self.lost_g,
            expansion_of(glass),
            self.water_formula,
        )


def read_session(top: Fields, name: str, known: Weighing | None = None, balance_id: str = "") -> Session:
    """Read ``[water]``, ``[air]``, ``[balance]`` and ``[evaporation]``.

    Args:
        top: the whole file.
        name: of the session.
        known: what a shelf says of the balance.
        balance_id: the balance that was named.
    """
    water, formula = _water(top, name)
    air = _air(top, name, water)
    return Session(name, water, formula, air, _balance(top, name, known, balance_id), _evaporation(top, name))


def _table(top: Fields, key: str) -> Fields:
    return top.sub(key) or Fields({}, top.spot.at(key), top.findings)


def _measured(
    table: Fields,
    key: str,
    unit: str,
    assumed: tuple[float, float],
    about: tuple[str, str],
    *,
    needed: bool = False,
) -> Estimate:
    """Return something measured, with its uncertainty; what nobody wrote is assumed, with a note.

    Args:
        table: where it stands.
        key: the key of its value.
        unit: the end of the keys of its uncertainty.
        assumed: value and half-width where nothing is written.
        about: the key of the object, and what it is in words.
        needed: whether the value has to be there.
    """
    owner, words = about
    number = table.number(key, example=f'"{assumed[0]:g}"' if needed else "")
    u, limits = table.number(f"u_{unit}", NOT_NEGATIVE), table.number(f"limits_{unit}", NOT_NEGATIVE)
    if u is not None and limits is not None:
        message = f"u_{unit} and limits_{unit} say the same thing twice. Keep one."
        table.say("uncertainty-twice", message, f"limits_{unit}")
    value = assumed[0] if number is None else float(number)
    if u is not None:
        return Estimate(
            value, float(u), Shape.NORMAL, key=owner, source="as given", written=number.text if number else ""
        )
    half = assumed[1] if limits is None else float(limits)
    if limits is None and not (needed and number is None):
        what = f"No uncertainty is given for the {words}" if number is not None else f"No {words} is given"
        taken = f"±{half:g}" if number is not None else f"{value:g} ± {half:g}"
        message = f"{what}. It is taken as {taken} {unit} ({_PRACTICE})."
        table.findings.append(note("assumed", message, table.place(key if number is not None else "")))
    source = "as given" if number is not None else f"assumed, {_PRACTICE}"
    return Estimate(
        value, standard_from_limits(half), Shape.RECTANGULAR, key=owner, source=source,
        written=number.text if number else "",
    )  # fmt: skip


def _water(top: Fields, name: str) -> tuple[Estimate, str]:
    table = _table(top, "water")
    if not top.has("water"):
        top.missing("water", '{ temperature_degC = "21.4", limits_degC = "0.2" }')
    thermometer = table.text("thermometer")
    key = f"thermometer:{thermometer}" if thermometer else f"calibration:{name}/water"
    water = _measured(
        table, "temperature_degC", "degC", ASSUMED["water"], (key, "temperature of the water"),
        needed=top.has("water"),
    )  # fmt: skip
    if table.has("temperature_degC"):
        table.findings.extend(check_temperature(float(water.value), table.place("temperature_degC")))
    formula = table.choice("density", list(WATER_FORMULAS), "Tanaka 2001")
    table.finish()
    return water, formula


def _air(top: Fields, name: str, water: Estimate) -> Air:
    table = _table(top, "air")
    places = {
        "temperature": table.place("temperature_degC"), "pressure": table.place("pressure_hPa"),
        "humidity": table.place("humidity_percent"), "density": table.place("density"),
    }  # fmt: skip
    if table.has("density_kg_m3"):
        return _given_air(table, name, water)
    assumed = (float(water.value), ASSUMED["temperature"][1])
    owner = f"calibration:{name}/air"
    air = Air(
        table.choice("density", list(AIR_FORMULAS), "CIPM-2007"),
        _measured(
            table, "temperature_degC", "degC", assumed, (f"{owner} temperature", "temperature of the air")
        ),
        _measured(
            table, "pressure_hPa", "hPa", ASSUMED["pressure"], (f"{owner} pressure", "pressure of the air")
        ),
        _measured(
            table,
            "humidity_percent",
            "percent",
            ASSUMED["humidity"],
            (f"{owner} humidity", "humidity of the air"),
        ),
    )
    table.finish()
    if 0 <= float(water.value) <= 40 or table.has("temperature_degC"):
        table.findings.extend(check_air(air, places))
    return air


def _given_air(table: Fields, name: str, water: Estimate) -> Air:
    given = table.number("density_kg_m3", ABOVE_ZERO)
    u = table.number("u_kg_m3", NOT_NEGATIVE)
    for key in ("temperature_degC", "pressure_hPa", "humidity_percent", "density"):
        if table.has(key):
            table.say(
                "air-twice", f"The density of the air is given, and {key} as well. Keep one of the two.", key
            )
    table.finish()
    density = Estimate(
        1.2 if given is None else float(given), 0.0 if u is None else float(u), key=f"calibration:{name}/air",
        source="as given",
    )  # fmt: skip
    air = Air("CIPM-2007", water, Estimate(1013.25), Estimate(50.0), density)
    table.findings.extend(check_air(air, {"density": table.place("density_kg_m3")}))
    return air


def _balance(top: Fields, name: str, known: Weighing | None, balance_id: str) -> Balance:
    table = _table(top, "balance")
    given = {
        key: table.number(key, NOT_NEGATIVE)
        for key in ("linearity_mg", "repeatability_mg", "readability_mg", "sensitivity_ppm")
    }
    values = {
        key: float(number) if number is not None else getattr(known, key, 0.0)
        for key, number in given.items()
    }
    written = table.text("id") or balance_id or name
    weights, limits = table.number("weights_kg_m3", _WEIGHTS), table.number("limits_kg_m3", NOT_NEGATIVE)
    table.finish()
    if not any(values.values()):
        message = (
            "Nothing is said of the balance, so weighing counts as exact. Write [balance] with linearity_mg "
            "and repeatability_mg from its data sheet."
        )
        table.findings.append(note("balance-unknown", message, table.place()))
    density = CONVENTIONAL
    if weights is not None or limits is not None:
        density = Estimate(
            WEIGHTS_KG_M3 if weights is None else float(weights),
            standard_from_limits(0.0 if limits is None else float(limits)), Shape.RECTANGULAR,
            source="as given",
        )  # fmt: skip
    return Balance(
        written, values["linearity_mg"] / 1000, values["sensitivity_ppm"] / 1e6,
        values["repeatability_mg"] / 1000, values["readability_mg"] / 1000, density,
    )  # fmt: skip


def _evaporation(top: Fields, name: str) -> Estimate:
    table = _table(top, "evaporation")
    lost = _measured(
        table, "loss_mg", "mg", ASSUMED["evaporation"], (f"calibration:{name}/evaporation", "evaporation")
    )
    if float(lost.value) < 0:
        table.say(
            "evaporation-negative", "Evaporation takes water away: write a loss of zero or more.", "loss_mg"
        )
    table.finish()
    return Estimate(
        float(lost.value) / 1000, float(lost.u) / 1000, lost.shape, key=lost.key, source=lost.source,
        written=lost.written,
    )  # fmt: skip


@dataclass(frozen=True)
class Readings:
    """What a file says of reading levels and of their scatter.

    Attributes:
        u_ml: standard uncertainty of setting or reading one level, None where nobody wrote it.
        pooled_ml, pooled_dof: scatter of earlier work; 0 where there is none.
        taken: where the random part is taken from.
    """

    u_ml: float | None
    pooled_ml: float
    pooled_dof: float
    taken: Taken

    def spread(self, division_ml: float | None, share: float, step_ml: float = 0.0) -> Spread:
        """Return what is known of the random part of a piece.

        Args:
            division_ml: volume between two lines; None for a piece without a scale.
            share: standard uncertainty of a careful reading as a share of a division.
            step_ml: step to which levels were written, 0 where they were set on their marks.
        """
        reading = (division_ml or 0.0) * share if self.u_ml is None else self.u_ml
        return Spread(reading, self.pooled_ml, self.pooled_dof, step_ml, self.taken)


def read_readings(top: Fields) -> Readings:
    """Read ``[reading]``."""
    table = _table(top, "reading")
    u, pooled = table.number("u_mL", NOT_NEGATIVE), table.number("pooled_sd_mL", ABOVE_ZERO)
    dof = table.number("pooled_dof", ABOVE_ZERO)
    taken = table.choice("take", [one.value for one in Taken], Taken.REPEATS.value)
    if table.has("pooled_sd_mL") != table.has("pooled_dof"):
        table.say("pooled-half", "pooled_sd_mL and pooled_dof belong together. Write both.", "pooled_dof")
    table.finish()
    return Readings(
        None if u is None else float(u), 0.0 if pooled is None else float(pooled),
        0.0 if dof is None else float(dof), Taken(taken),
    )  # fmt: skip
