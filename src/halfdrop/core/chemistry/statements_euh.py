"""Supplemental hazard statements (EUH) in the English wording of the European regulation.

Source: Regulation (EC) No 1272/2008 (CLP), Annex II (wording also in Annex III, Part 2), read from public
transcriptions; EUH014, EUH018, EUH019, EUH029 and EUH044 compared with Annex II as published at
legislation.gov.uk.
"""

from __future__ import annotations

from typing import Final

SOURCE: Final = "Regulation (EC) No 1272/2008, Annex II"

TEXTS: Final[dict[str, str]] = {
    "EUH014": "Reacts violently with water.",
    "EUH018": "In use, may form flammable/explosive vapour-air mixture.",
    "EUH019": "May form explosive peroxides.",
    "EUH029": "Contact with water liberates toxic gas.",
    "EUH031": "Contact with acids liberates toxic gas.",
    "EUH032": "Contact with acids liberates very toxic gas.",
    "EUH044": "Risk of explosion if heated under confinement.",
    "EUH066": "Repeated exposure may cause skin dryness or cracking.",
    "EUH070": "Toxic by eye contact.",
    "EUH071": "Corrosive to the respiratory tract.",
    "EUH203": "Contains chromium(VI). May produce an allergic reaction.",
    "EUH206": ("Warning! Do not use together with other products. May release dangerous gases (chlorine)."),
    "EUH210": "Safety data sheet available on request.",
}
