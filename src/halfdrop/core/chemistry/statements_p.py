"""Precautionary statements (P) in the English wording of the European regulation.

Source: Regulation (EC) No 1272/2008 (CLP), Annex IV, Part 2, consolidated text of 1 September 2025
(CELEX 02008R1272-20250901), read from a public transcription that says it was compared with the published
document. Spaces that only broke a line in print are closed up. ``…`` and square brackets are the regulation's
own. Other editions of the United Nations system word some statements differently (P280 goes on to hearing
protection, for one).
"""

from __future__ import annotations

from typing import Final

SOURCE: Final = "Regulation (EC) No 1272/2008, Annex IV, Part 2, consolidated text of 1 September 2025"

TEXTS: Final[dict[str, str]] = {
    "P101": "If medical advice is needed, have product container or label at hand.",
    "P102": "Keep out of reach of children.",
    "P103": "Read label before use.",
    "P201": "Obtain special instructions before use.",
    "P202": "Do not handle until all safety precautions have been read and understood.",
    "P210": (
        "Keep away from heat, hot surfaces, sparks, open flames and other ignition sources. No smoking."
    ),
    "P220": "Keep away from clothing and other combustible materials.",
    "P223": "Do not allow contact with water.",
    "P230": "Keep wetted with…",
    "P231": "Handle and store contents under inert gas/…",
    "P232": "Protect from moisture.",
    "P233": "Keep container tightly closed.",
    "P234": "Keep only in original packaging.",
    "P235": "Keep cool.",
    "P240": "Ground and bond container and receiving equipment.",
    "P260": "Do not breathe dust/fume/gas/mist/vapours/spray.",
    "P261": "Avoid breathing dust/fume/gas/mist/vapours/spray.",
    "P262": "Do not get in eyes, on skin, or on clothing.",
    "P263": "Avoid contact during pregnancy and while nursing.",
    "P264": "Wash … thoroughly after handling.",
    "P270": "Do not eat, drink or smoke when using this product.",
    "P271": "Use only outdoors or in a well-ventilated area.",
    "P272": "Contaminated work clothing should not be allowed out of the workplace.",
    "P273": "Avoid release to the environment.",
    "P280": "Wear protective gloves/protective clothing/eye protection/face protection.",
    "P283": "Wear fire resistant or flame retardant clothing.",
    "P284": "[In case of inadequate ventilation] wear respiratory protection.",
    "P301": "IF SWALLOWED:",
    "P302": "IF ON SKIN:",
    "P303": "IF ON SKIN (or hair):",
    "P304": "IF INHALED:",
    "P305": "IF IN EYES:",
    "P306": "IF ON CLOTHING:",
    "P308": "IF exposed or concerned:",
    "P310": "Immediately call a POISON CENTER/doctor/…",
    "P311": "Call a POISON CENTER/doctor/…",
    "P312": "Call a POISON CENTRE/doctor/… if you feel unwell.",
    "P313": "Get medical advice/attention.",
    "P314": "Get medical advice/attention if you feel unwell.",
    "P315": "Get immediate medical advice/attention.",
    "P320": "Specific treatment is urgent (see … on this label).",
    "P321": "Specific treatment (see … on this label).",
    "P330": "Rinse mouth.",
    "P331": "Do NOT induce vomiting.",
    "P332": "If skin irritation occurs:",
    "P333": "If skin irritation or rash occurs:",
    "P334": "Immerse in cool water [or wrap in wet bandages].",
    "P335": "Brush off loose particles from skin.",
    "P337": "If eye irritation persists:",
    "P338": "Remove contact lenses, if present and easy to do. Continue rinsing.",
    "P340": "Remove person to fresh air and keep comfortable for breathing.",
    "P342": "If experiencing respiratory symptoms:",
    "P351": "Rinse cautiously with water for several minutes.",
    "P352": "Wash with plenty of water/…",
    "P353": "Rinse skin with water [or shower].",
    "P360": "Rinse immediately contaminated clothing and skin with plenty of water before removing clothes.",
    "P361": "Take off immediately all contaminated clothing.",
    "P362": "Take off contaminated clothing.",
    "P363": "Wash contaminated clothing before reuse.",
    "P364": "And wash it before reuse.",
    "P370": "In case of fire:",
    "P378": "Use… to extinguish.",
    "P380": "Evacuate area.",
    "P390": "Absorb spillage to prevent material damage.",
    "P391": "Collect spillage.",
    "P401": "Store in accordance with….",
    "P402": "Store in a dry place.",
    "P403": "Store in a well-ventilated place.",
    "P404": "Store in a closed container.",
    "P405": "Store locked up.",
    "P406": "Store in a corrosion-resistant/… container with a resistant inner liner.",
    "P410": "Protect from sunlight.",
    "P411": "Store at temperatures not exceeding … °C/… °F.",
    "P420": "Store separately.",
    "P501": "Dispose of contents/container to …",
    "P502": "Refer to manufacturer or supplier for information on recovery or recycling.",
}

COMBINED: Final[dict[str, str]] = {
    "P231+P232": "Handle and store contents under inert gas/…. Protect from moisture.",
    "P301+P310": "IF SWALLOWED: Immediately call a POISON CENTER/doctor/…",
    "P301+P312": "IF SWALLOWED: Call a POISON CENTRE/doctor/… if you feel unwell.",
    "P301+P330+P331": "IF SWALLOWED: Rinse mouth. Do NOT induce vomiting.",
    "P302+P334": "IF ON SKIN: Immerse in cool water or wrap in wet bandages.",
    "P302+P335+P334": (
        "IF ON SKIN: Brush off loose particles from skin. Immerse in cool water [or wrap in wet bandages]."
    ),
    "P302+P352": "IF ON SKIN: Wash with plenty of water/…",
    "P303+P361+P353": (
        "IF ON SKIN (or hair): Take off immediately all contaminated clothing. "
        "Rinse skin with water [or shower]."
    ),
    "P304+P340": "IF INHALED: Remove person to fresh air and keep comfortable for breathing.",
    "P305+P351+P338": (
        "IF IN EYES: Rinse cautiously with water for several minutes. "
        "Remove contact lenses, if present and easy to do. Continue rinsing."
    ),
    "P306+P360": (
        "IF ON CLOTHING: rinse immediately contaminated clothing and skin with plenty of water "
        "before removing clothes."
    ),
    "P308+P311": "IF exposed or concerned: Call a POISON CENTER/doctor/…",
    "P308+P313": "IF exposed or concerned: Get medical advice/attention.",
    "P332+P313": "If skin irritation occurs: Get medical advice/attention.",
    "P333+P313": "If skin irritation or rash occurs: Get medical advice/attention.",
    "P337+P313": "If eye irritation persists: Get medical advice/attention.",
    "P342+P311": "If experiencing respiratory symptoms: Call a POISON CENTER/doctor/…",
    "P361+P364": "Take off immediately all contaminated clothing and wash it before reuse.",
    "P362+P364": "Take off contaminated clothing and wash it before reuse.",
    "P370+P378": "In case of fire: Use… to extinguish.",
    "P402+P404": "Store in a dry place. Store in a closed container.",
    "P403+P233": "Store in a well-ventilated place. Keep container tightly closed.",
    "P403+P235": "Store in a well-ventilated place. Keep cool.",
    "P410+P403": "Protect from sunlight. Store in a well-ventilated place.",
}
