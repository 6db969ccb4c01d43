"""Pages of readings for the tests, with invented numbers, and small methods to work them out by."""

from __future__ import annotations

import tomllib
from collections.abc import Mapping
from decimal import Decimal
from importlib.resources import files

from halfdrop.core.glassware.readings import Reading
from halfdrop.core.measure.estimate import Shape
from halfdrop.core.titration.blocks import Block, read_blocks
from halfdrop.core.titration.method import Agreement, Method, Quantity, Safety, Series
from halfdrop.core.titration.record import Burette, Determination, Given, Room, State, Trial

SAFETY = Safety("any class", "no", "none", "goggles", "wipe", "rinse", "sink", "nothing", (), "", "test")


def blocks() -> dict[str, Block]:
    """Return the shipped blocks."""
    return read_blocks(
        tomllib.loads((files("halfdrop") / "data" / "blocks.toml").read_text(encoding="utf-8"))
    )


def burette(name: str = "B1", limit_ml: float = 0.05, shape: Shape = Shape.RECTANGULAR) -> Burette:
    """Return a burette of 50 mL."""
    return Burette(name, Decimal(50), Decimal("0.1"), limit_ml, "engraved", shape)


def trial(label: str, initial: str, final: str, state: State = State.ACCURATE, **own: float) -> Trial:
    """Return a trial with masses of its own in grams (standard uncertainty 0.1 mg)."""
    given = {name: Given(name, value, "g", 0.0001) for name, value in own.items()}
    return Trial(
        label, "sample", {"initial": Reading(initial), "final": Reading(final)}, state=state, given=given
    )


def method(
    name: str,
    quantities: Mapping[str, Quantity],
    equations: Mapping[str, str],
    working: tuple[Mapping[str, object], ...],
    rule: str = "largest-group",
) -> Method:
    """Return a method with the given chemistry and working, and nothing else of note."""
    return Method(
        name, name, "", "acid-base", "", equations, (), (), (), quantities, {"sample": Series("sample", "")},
        Agreement(rule, "0.10", 2, "test"), working, "c", "", ("20", "30"), "0.04", "test", SAFETY, ("test",),
    )  # fmt: skip


def hydroxide() -> Method:
    """Hydroxide against weighed potassium hydrogen phthalate."""
    return method(
        "hydroxide",
        {
            "mass": Quantity("mass", "mass", "g", "m", "mass of phthalate", per_trial=True),
            "purity": Quantity("purity", "purity", "1", "P", "purity of phthalate"),
        },
        {"main": "KHC8H4O4 + NaOH -> KNaC8H4O4 + H2O"},
        (
            {"block": "weighed", "of": "KHC8H4O4"},
            {"block": "ratio", "from": "KHC8H4O4", "to": "NaOH", "by": "main", "as": "base"},
            {"block": "titre"},
            {"block": "litres"},
            {"block": "strength", "amount": "base", "of": "NaOH"},
        ),
    )


def acid(rule: str = "largest-group") -> Method:
    """Hydrochloric acid by hydroxide, aliquots by pipette."""
    return method(
        "acid",
        {
            "titrant": Quantity("titrant", "concentration", "mol/L", "c_(NaOH)", "titrant", species="NaOH"),
            "aliquot": Quantity("aliquot", "pipette", "mL", "V_a", "aliquot"),
        },
        {"main": "HCl + NaOH -> NaCl + H2O"},
        (
            {"block": "titre"},
            {"block": "litres"},
            {"block": "amount"},
            {"block": "ratio", "from": "NaOH", "to": "HCl", "by": "main"},
            {"block": "aliquot", "of": "HCl"},
        ),
        rule,
    )


def hydroxide_page(name: str = "B1") -> Determination:
    """Return an invented standardisation."""
    trials = (
        trial("1", "0.05", "25.40", State.ROUGH, mass=0.5105),
        trial("2", "0.10", "24.85", mass=0.5040),
        trial("3", "0.30", "25.45", mass=0.5120),
        trial("4", "0.12", "24.86", mass=0.5035),
    )
    purity = Given("purity", 0.9995, "1", 0.0003)
    return Determination(
        "hydroxide", "N-1", name, {name: burette(name)}, Room(22.0, 0.5, True, key="room:lab/temperature"),
        {"purity": purity}, {}, trials, file="hydroxide.toml",
    )  # fmt: skip


def acid_page(name: str = "B1", **given: Given) -> Determination:
    """Return an invented titration of an acid, with the titrant linked unless it is given."""
    trials = (
        trial("1", "0.00", "20.90", State.ROUGH),
        trial("2", "0.05", "20.52"),
        trial("3", "20.52", "41.02"),
        trial("4", "0.20", "20.67"),
    )
    aliquot = Given("aliquot", 20.0, "mL", 0.02, Shape.RECTANGULAR, key="pipette:P1")
    return Determination(
        "acid", "A-1", name, {name: burette(name)}, Room(22.0, 0.5, True, key="room:lab/temperature"),
        {"aliquot": aliquot, **given}, {} if "titrant" in given else {"titrant": "hydroxide.toml"}, trials,
        file="acid.toml",
    )  # fmt: skip
