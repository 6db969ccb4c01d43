"""Hazard statements (H) in the English wording of the European regulation.

Source: Regulation (EC) No 1272/2008 (CLP), Annex III, Part 1, consolidated text of 1 September 2025
(CELEX 02008R1272-20250901), read from a public transcription that says it was compared with the published
document; most were also seen in a second public list. Where the regulation lets the route of exposure, the
effect or the organs be added in angle brackets, the text stands here without the addition.
"""

from __future__ import annotations

from typing import Final

SOURCE: Final = "Regulation (EC) No 1272/2008, Annex III, Part 1, consolidated text of 1 September 2025"

TEXTS: Final[dict[str, str]] = {
    "H224": "Extremely flammable liquid and vapour.",
    "H225": "Highly flammable liquid and vapour.",
    "H226": "Flammable liquid and vapour.",
    "H228": "Flammable solid.",
    "H240": "Heating may cause an explosion.",
    "H241": "Heating may cause a fire or explosion.",
    "H242": "Heating may cause a fire.",
    "H250": "Catches fire spontaneously if exposed to air.",
    "H251": "Self-heating: may catch fire.",
    "H252": "Self-heating in large quantities; may catch fire.",
    "H260": "In contact with water releases flammable gases which may ignite spontaneously.",
    "H261": "In contact with water releases flammable gases.",
    "H270": "May cause or intensify fire; oxidiser.",
    "H271": "May cause fire or explosion; strong oxidiser.",
    "H272": "May intensify fire; oxidiser.",
    "H280": "Contains gas under pressure; may explode if heated.",
    "H281": "Contains refrigerated gas; may cause cryogenic burns or injury.",
    "H290": "May be corrosive to metals.",
    "H300": "Fatal if swallowed.",
    "H301": "Toxic if swallowed.",
    "H302": "Harmful if swallowed.",
    "H304": "May be fatal if swallowed and enters airways.",
    "H310": "Fatal in contact with skin.",
    "H311": "Toxic in contact with skin.",
    "H312": "Harmful in contact with skin.",
    "H314": "Causes severe skin burns and eye damage.",
    "H315": "Causes skin irritation.",
    "H317": "May cause an allergic skin reaction.",
    "H318": "Causes serious eye damage.",
    "H319": "Causes serious eye irritation.",
    "H330": "Fatal if inhaled.",
    "H331": "Toxic if inhaled.",
    "H332": "Harmful if inhaled.",
    "H334": "May cause allergy or asthma symptoms or breathing difficulties if inhaled.",
    "H335": "May cause respiratory irritation.",
    "H336": "May cause drowsiness or dizziness.",
    "H340": "May cause genetic defects.",
    "H341": "Suspected of causing genetic defects.",
    "H350": "May cause cancer.",
    "H351": "Suspected of causing cancer.",
    "H360": "May damage fertility or the unborn child.",
    "H361": "Suspected of damaging fertility or the unborn child.",
    "H362": "May cause harm to breast-fed children.",
    "H370": "Causes damage to organs.",
    "H371": "May cause damage to organs.",
    "H372": "Causes damage to organs through prolonged or repeated exposure.",
    "H373": "May cause damage to organs through prolonged or repeated exposure.",
    "H400": "Very toxic to aquatic life.",
    "H410": "Very toxic to aquatic life with long lasting effects.",
    "H411": "Toxic to aquatic life with long lasting effects.",
    "H412": "Harmful to aquatic life with long lasting effects.",
    "H413": "May cause long lasting harmful effects to aquatic life.",
    "H420": "Harms public health and the environment by destroying ozone in the upper atmosphere.",
}

SOURCE_COMBINED: Final = (
    "Regulation (EC) No 1272/2008, Annex III, Part 1, combined statements "
    "(wording compared with public lists; place in the regulation from memory)"
)

COMBINED: Final[dict[str, str]] = {
    "H300+H310": "Fatal if swallowed or in contact with skin.",
    "H300+H330": "Fatal if swallowed or if inhaled.",
    "H310+H330": "Fatal in contact with skin or if inhaled.",
    "H300+H310+H330": "Fatal if swallowed, in contact with skin or if inhaled.",
    "H301+H311": "Toxic if swallowed or in contact with skin.",
    "H301+H331": "Toxic if swallowed or if inhaled.",
    "H311+H331": "Toxic in contact with skin or if inhaled.",
    "H301+H311+H331": "Toxic if swallowed, in contact with skin or if inhaled.",
    "H302+H312": "Harmful if swallowed or in contact with skin.",
    "H302+H332": "Harmful if swallowed or if inhaled.",
    "H312+H332": "Harmful in contact with skin or if inhaled.",
    "H302+H312+H332": "Harmful if swallowed, in contact with skin or if inhaled.",
}

SOURCE_SPECIFIC: Final = (
    "Regulation (EC) No 1272/2008, Annex VI, 1.1.2.1.2, codes with letters "
    "(wording compared with a list of European ecolabel criteria; place in the regulation from memory)"
)

SPECIFIC: Final[dict[str, str]] = {
    "H350i": "May cause cancer by inhalation.",
    "H360F": "May damage fertility.",
    "H360D": "May damage the unborn child.",
    "H360FD": "May damage fertility. May damage the unborn child.",
    "H360Fd": "May damage fertility. Suspected of damaging the unborn child.",
    "H360Df": "May damage the unborn child. Suspected of damaging fertility.",
    "H361f": "Suspected of damaging fertility.",
    "H361d": "Suspected of damaging the unborn child.",
    "H361fd": "Suspected of damaging fertility. Suspected of damaging the unborn child.",
}
