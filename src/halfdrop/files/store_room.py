"""What a class file says of the store room: balance, room, vessels, lots, stock solutions."""

from __future__ import annotations

from collections.abc import Mapping

from halfdrop.core.glassware.thermal import check_temperature
from halfdrop.core.measure.estimate import standard_from_limits
from halfdrop.core.solutions.reagent import Assay, Reagent
from halfdrop.core.solutions.store import MEASURES, Balance, Kind, Lot, RoomAir, Stock, Vessel
from halfdrop.files.fields import ABOVE_ZERO, NOT_NEGATIVE, Fields, Range, known
from halfdrop.files.glass_tables import ASSUMED_CLASS, tolerance_table
from halfdrop.files.reagents import FRACTION, for_species
from halfdrop.files.text_files import note

PERCENT = Range("from 0 to 100", lambda value: 0 <= value <= 100)
PRESSURE = Range("of hectopascals, 500 to 1100", lambda value: 500 <= value <= 1100)
_MOST_ML, _MOST_G = 100_000, 100_000
CAPACITY = Range(f"of millilitres, above zero and {_MOST_ML} at most", lambda value: 0 < value <= _MOST_ML)
_TABLES = {Kind.FLASK: "flask", Kind.PIPETTE: "pipette", Kind.BURETTE: "burette"}


def read_room_air(top: Fields) -> RoomAir:
    """Read ``[room]``."""
    table = top.sub("room")
    if table is None:
        return RoomAir()
    temperature, limits = table.number("temperature_degC"), table.number("limits_degC", NOT_NEGATIVE)
    pressure, humidity = table.number("pressure_hPa", PRESSURE), table.number("humidity_percent", PERCENT)
    table.finish()
    plain = RoomAir()
    if temperature is not None:
        table.findings.extend(check_temperature(float(temperature), table.place("temperature_degC")))
    return RoomAir(
        plain.temperature_c if temperature is None else float(temperature),
        plain.limits_c if limits is None else float(limits),
        plain.pressure_hpa if pressure is None else float(pressure),
        plain.humidity_percent if humidity is None else float(humidity),
        temperature is not None,
    )  # fmt: skip


def read_weighing(top: Fields) -> Balance:
    """Read ``[balance]``: the balance for making up; without one, a top-pan balance of 0.01 g is taken."""
    table = top.sub("balance")
    if table is None:
        message = (
            "No balance is described. One that shows 0.01 g is taken, right to 0.02 g either way. Write "
            "[balance] with division_g and u_mg or linearity_mg."
        )
        top.findings.append(note("balance-assumed", message, top.place()))
        return Balance("balance", 0.01, standard_from_limits(0.02), "assumed: 0.02 g either way", True)
    name = table.text("id", "balance")
    division = table.number("division_g", ABOVE_ZERO, '"0.0001"')
    u, limits = table.number("u_mg", ABOVE_ZERO), table.number("linearity_mg", ABOVE_ZERO)
    table.finish()
    if (u is None) == (limits is None):
        message = "Write one of linearity_mg (limits, from the data sheet) and u_mg (a standard uncertainty)."
        table.say("balance-uncertainty", message)
    step = 0.01 if division is None else float(division)
    if limits is not None:
        # a mass is the difference of two readings, each within the limits
        spread = standard_from_limits(float(limits) / 1000) * 2**0.5
        return Balance(name, step, spread, f"linearity {limits.text} mg, for two readings", True)
    return Balance(name, step, 0.0 if u is None else float(u) / 1000, "u as given", False)


def read_vessels(top: Fields) -> tuple[Vessel, ...]:
    """Read ``[[vessel]]``."""
    found = (_vessel(row) for row in top.subs("vessel"))
    return tuple(one for one in found if one is not None)


def _vessel(row: Fields) -> Vessel | None:
    kind_text = row.choice("kind", [one.value for one in Kind])
    if not kind_text and not row.has("kind"):
        row.missing("kind", '"flask"')
    capacity = row.number("capacity_mL", CAPACITY, '"1000"')
    count, grade = row.whole("count", 1), row.text("class")
    division, mpe = row.number("division_mL", ABOVE_ZERO), row.number("mpe_mL", ABOVE_ZERO)
    row.text("material")
    row.finish()
    if not kind_text or capacity is None:
        return None
    kind, size = Kind(kind_text), float(capacity)
    step = 0.0 if division is None else float(division)
    if kind is Kind.CYLINDER and not step and not row.has("division_mL"):
        row.missing("division_mL", '"1"')
    limit, source = (float(mpe), "as given") if mpe is not None else _limit(row, kind, size, step, grade)
    return Vessel(kind, size, count or 1, grade, step, limit, source)


def _limit(row: Fields, kind: Kind, capacity: float, division: float, grade: str) -> tuple[float, str]:
    """Return the limit of a vessel by its standard, or the widest that it may be taken to have."""
    if kind in _TABLES:
        table = tolerance_table(_TABLES[kind])
        limit, findings = table.find(capacity, division or None, grade or ASSUMED_CLASS, place=row.place())
        row.findings.extend(findings)
        if limit is not None:
            return limit.mpe_ml, f"{limit.standard}, class {limit.glass_class} ({limit.source})"
        return capacity, "not known"
    if kind in MEASURES:
        return division, "one division; common practice, no source"
    return 0.05 * capacity, "5 % of its volume; common practice, no source"


def read_lots(top: Fields, reagents: Mapping[str, Reagent]) -> tuple[Lot, ...]:
    """Read ``[[lot]]``."""
    return tuple(one for row in top.subs("lot") if (one := _lot(row, reagents)) is not None)


def _lot(row: Fields, reagents: Mapping[str, Reagent]) -> Lot | None:
    name = row.text("reagent", example='"sodium-hydroxide"')
    lot, expires = row.text("lot"), row.date("expires")
    reagent = reagents.get(name)
    if name and reagent is None:
        row.say("reagent-unknown", f"There is no reagent '{name}'. {known(name, reagents)}", "reagent")
    liquid = reagent is not None and reagent.purity is None
    amounts = Range("of zero or more, 100000 at most", lambda value: 0 <= value <= _MOST_G)
    amount = row.number("amount_mL" if liquid else "amount_g", amounts, '"500"')
    purity, limits = row.number("purity", FRACTION), row.number("purity_limits", NOT_NEGATIVE)
    row.finish()
    if purity is not None and limits is None and not row.has("purity_limits"):
        row.missing("purity_limits", '"0.001"')
    if reagent is None or amount is None:
        return None
    assay = None
    if purity is not None and limits is not None:
        assay = Assay(float(purity), float(limits), f"lot {lot}" if lot else "the bottle", purity.text)
    return Lot(name, lot, float(amount), expires, assay, row.place())


def read_stocks(top: Fields, reagents: Mapping[str, Reagent]) -> tuple[Stock, ...]:
    """Read ``[[stock]]``."""
    return tuple(one for row in top.subs("stock") if (one := _stock(row, reagents)) is not None)


def _stock(row: Fields, reagents: Mapping[str, Reagent]) -> Stock | None:
    name, species = row.text("name", example='"NaOH 1 mol/L"'), row.text("species", example='"NaOH"')
    mol_l = row.number("concentration_mol_L", ABOVE_ZERO, '"1.000"')
    u = row.number("u_mol_L", NOT_NEGATIVE)
    volume = row.number("volume_mL", NOT_NEGATIVE, '"1000"')
    how = row.text("known_by")
    reagent = row.text("reagent")
    row.finish()
    found = next(for_species(species, reagents), None) if not reagent else reagents.get(reagent)
    if found is None and species:
        message = (
            f"Nothing is known here of the dangers of {reagent or species}, so its solutions are not "
            "planned. Name a reagent with its cautions, or add one in a file of your own."
        )
        row.say("cautions-missing", message, "reagent" if reagent else "species")
    if mol_l is None or volume is None or found is None:
        return None
    if u is None:
        message = (
            "No uncertainty is given for this stock, so what is made from it is only near its value. Write "
            "u_mol_L."
        )
        row.findings.append(note("stock-uncertainty", message, row.place()))
    spread = 0.02 * float(mol_l) if u is None else float(u)
    return Stock(
        name, species, float(mol_l), spread, float(volume), u is not None and bool(how), how or "as written",
        found.name,
    )  # fmt: skip
