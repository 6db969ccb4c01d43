"""Curves of a textbook: cadmium with EDTA in ammonia, iron with cerium, chloride with silver."""

from __future__ import annotations

from collections.abc import Callable
from math import log10

import numpy as np

from halfdrop.core.equilibrium.complexation import Conditional, titrate_with_ligand
from halfdrop.core.equilibrium.precipitation import Salt, titrate_by_precipitation
from halfdrop.core.equilibrium.redox import Couple, Forms, titrate_redox
from tests.published.row import Row, Source

ROOM = "halfdrop.core.equilibrium"
CADMIUM = {
    "0": "3.36", "5": "3.49", "10": "3.66", "15": "3.87", "20": "4.20", "23": "4.62", "25": "9.77",
    "27": "14.91", "30": "15.31", "35": "15.61", "40": "15.78", "45": "15.91", "50": "16.01",
}  # fmt: skip
IRON = {
    "5": "0.711", "10": "0.731", "15": "0.745", "20": "0.757", "25": "0.767", "30": "0.777", "35": "0.789",
    "40": "0.803", "45": "0.823", "50": "1.23", "55": "1.64", "60": "1.66", "65": "1.67", "70": "1.68",
    "75": "1.68", "80": "1.69", "85": "1.69", "90": "1.69", "95": "1.70", "100": "1.70",
}  # fmt: skip
CHLORIDE = {
    "0": "1.30", "5": "1.44", "10": "1.60", "15": "1.81", "20": "2.15", "25": "4.89", "30": "7.54",
    "35": "7.82", "40": "7.97", "45": "8.07", "50": "8.14",
}  # fmt: skip
SILVER = {
    "5": "8.31", "10": "8.14", "15": "7.93", "20": "7.60", "25": "4.89", "30": "2.20",
    "35": "1.93", "40": "1.78",
}  # fmt: skip
HALF_OF_KSP = "-log10(1.8e-10)/2 = 4.872; the book takes the root rounded to 1.3e-5"


def _cadmium(volume: str) -> Callable[[], float]:
    # 0.0881 of the cadmium is bare in 0.0100 mol/L ammonia, 0.35 of the EDTA at pH 10; K = 2.9e16
    metal = Conditional("Cd2+", log10(0.0881 * 0.35 * 2.9e16), 0.0881)
    flask, burette = {"Cd2+": 5.00e-3}, {"ligand": 0.0100}
    at = np.array([float(volume)])
    return lambda: float(titrate_with_ligand((metal,), flask, 50.0, burette, at).p_metal[0, 0])


def _iron(volume: str) -> Callable[[], float]:
    couples = (Couple("Fe", 0.767, 1), Couple("Ce", 1.70, 1))
    iron, cerium = {"Fe": Forms(reduced=0.100)}, {"Ce": Forms(oxidised=0.100)}
    return lambda: float(titrate_redox(couples, iron, 50.0, cerium, np.array([float(volume)])).potential[0])


def _chloride(volume: str, *, silver: bool) -> Callable[[], float]:
    def compute() -> float:
        salts = (Salt("Cl-", -log10(1.8e-10)),)
        at = titrate_by_precipitation(
            salts, {"Cl-": 0.0500}, 50.0, {"metal": 0.100}, np.array([float(volume)])
        )
        return float(at.p_metal[0] if silver else at.p_anion[0, 0])

    return compute


def _silver_rows(what: str, printed: dict[str, str], *, silver: bool) -> tuple[Row, ...]:
    return tuple(
        Row(
            "Table 9.21, p. 352",
            f"{what} after {volume} mL",
            text,
            _chloride(volume, silver=silver),
            f"{ROOM}.precipitation.titrate_by_precipitation",
            right="4.87" if volume == "25" else "",
            note=HALF_OF_KSP if volume == "25" else "",
        )
        for volume, text in printed.items()
    )


SOURCE = Source(
    title="D. Harvey, Modern Analytical Chemistry, McGraw-Hill 2000: curves with EDTA, cerium and silver",
    where="Tables 9.15, 9.17 and 9.21, pp. 320, 335, 352",
    rows=(
        *(
            Row(
                "Table 9.15, p. 320",
                f"pCd after {v} mL",
                text,
                _cadmium(v),
                f"{ROOM}.complexation.titrate_with_ligand",
                units=0.52 if v == "40" else 0.5,
                note="15.785, on the rounding limit" if v == "40" else "",
            )
            for v, text in CADMIUM.items()
        ),
        *(
            Row(
                "Table 9.17, p. 335",
                f"potential after {v} mL, V",
                text,
                _iron(v),
                f"{ROOM}.redox.titrate_redox",
            )
            for v, text in IRON.items()
        ),
        *_silver_rows("pCl", CHLORIDE, silver=False),
        *_silver_rows("pAg", SILVER, silver=True),
    ),
)
