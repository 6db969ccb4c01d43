"""What a page says was in the flask and in the burette."""

from __future__ import annotations

import math

from halfdrop.core.equilibrium.acid_base import PKW_25
from halfdrop.core.equilibrium.acids import Acid
from halfdrop.core.equilibrium.activity import IDEAL, MODELS, Activity
from halfdrop.core.equilibrium.measured.faults import U_PKA
from halfdrop.core.equilibrium.measured.model import Kind, Part, System, Unknown
from halfdrop.files.fields import ABOVE_ZERO, ANY, NOT_NEGATIVE, Fields

_KINDS = ("acid", "base")
_FIRST_GUESS = 0.1  # mol/L; where there is one unknown concentration the curve itself tells where to begin


def read_system(top: Fields, flask_ml: float) -> System | None:
    """Read ``[titrant]``, ``[[analyte]]`` and ``[constants]``.

    Args:
        top: the page.
        flask_ml: volume in the flask, nan when not given.

    Returns:
        The system, or None when the page does not describe one or something is wrong with it.
    """
    table = top.sub("titrant")
    analytes = list(top.subs("analyte"))
    pkw, activity = _constants(top)
    if table is None and not analytes:
        return None
    if table is None or not analytes:
        top.missing("titrant" if table is None else "analyte", '{ kind = "base", concentration = "0.1000" }')
        return None
    if math.isnan(flask_ml):
        top.missing("flask_mL", '"25.00"')
    titrant = _titrant(table)
    acids: list[Acid] = []
    parts: list[Part] = []
    unknowns: list[Unknown] = []
    for analyte in analytes:
        _analyte(analyte, acids, parts, unknowns, several=len(analytes) > 1)
    if titrant is None or math.isnan(flask_ml) or len(parts) != len(analytes):
        return None
    system = System(tuple(acids), tuple(parts), (titrant,), flask_ml, pkw, activity, tuple(unknowns))
    if not any(one.kind is Kind.FLASK for one in unknowns):
        top.say("analyte-known", "Every concentration is said to be known. Leave one to be found.", "analyte")
        return None
    if not system.stages:
        other = "acid" if system.raises_ph else "base"
        message = f"Nothing in the flask reacts with the titrant: it wants {other}s there. Look at kind."
        top.say("no-reaction", message, "analyte")
        return None
    return system


def _constants(top: Fields) -> tuple[float, Activity]:
    table = top.sub("constants")
    if table is None:
        return PKW_25, IDEAL
    pkw, name = table.number("pKw", ABOVE_ZERO), table.choice("activity", list(MODELS), IDEAL.name)
    table.text("source")
    table.finish()
    return PKW_25 if pkw is None else float(pkw), MODELS[name]


def _titrant(table: Fields) -> Part | None:
    kind = table.choice("kind", _KINDS)
    if not kind and not table.has("kind"):
        table.missing("kind", '"base"')
    concentration = table.number("concentration", ABOVE_ZERO, '"0.1000"')
    name = table.text("name", "the titrant")
    table.number("u", NOT_NEGATIVE)
    table.finish()
    if not kind or concentration is None:
        return None
    return Part(name, float(concentration), None, 1 if kind == "acid" else 0)


def _analyte(
    table: Fields, acids: list[Acid], parts: list[Part], unknowns: list[Unknown], *, several: bool
) -> None:
    """Read one analyte into the lists of a system."""
    name, kind = table.text("name", "the analyte"), table.choice("kind", _KINDS, "acid")
    pkas = [float(one) for one in table.numbers("pKa", ANY)]
    u_pka = table.number("u_pKa", ABOVE_ZERO)
    charge, protons = table.number("charge", ANY), table.whole("protons")
    concentration = table.number("concentration", ABOVE_ZERO)
    fixed = table.flag("known")
    table.text("source")
    table.finish()
    if pkas != sorted(pkas):
        message = (
            f"The constants stand out of order: {', '.join(f'{one:g}' for one in pkas)}. The most acidic "
            "form comes first, so no pKa is smaller than the one before."
        )
        table.say("constants-out-of-order", message, "pKa")
        return
    if protons is not None and protons > len(pkas):
        table.say(
            "protons-too-many",
            f"With {len(pkas)} constants it carries {len(pkas)} protons at most.",
            "protons",
        )
        return
    if concentration is None and (several or fixed):
        table.missing("concentration", '"0.05"')
        return
    carried = protons if protons is not None else (len(pkas) if kind == "acid" else 0)
    index = len(acids) if pkas else None
    if index is not None:
        # Taken to be neutral as made up unless the charge without protons is given; only activities mind.
        bare = -carried if charge is None else round(float(charge))
        acids.append(Acid(name, tuple(pkas), bare))
    else:
        carried = 1 if kind == "acid" else 0
    value = _FIRST_GUESS if concentration is None else float(concentration)
    parts.append(Part(name, value, index, carried))
    if not fixed:
        unknowns.append(Unknown(Kind.FLASK, f"concentration of {name}", value, index=len(parts) - 1))
    for step, pka in enumerate(pkas):
        u = U_PKA if u_pka is None else float(u_pka)
        number = str(step + 1) if len(pkas) > 1 else ""
        unknowns.append(Unknown(Kind.PKA, f"pKa{number} of {name}", pka, u, index or 0, step))
