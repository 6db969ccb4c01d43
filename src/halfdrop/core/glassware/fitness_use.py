"""What use leaves behind: solutions not cleaned out, seized taps, blocked tips, pieces that are away."""

from __future__ import annotations

from collections.abc import Iterator

from halfdrop.core.glassware.shelf import Event, Fault, Tap, What
from halfdrop.core.glassware.verdict import Look, Reason, Standing

FIT, LIMIT, NOT_FIT = Standing.FIT, Standing.LIMIT, Standing.NOT_FIT
WATER = ("water", "deionised water", "distilled water")


def whereabouts(look: Look) -> Iterator[Reason]:
    """Tell whether the piece is there at all."""
    retired = look.history.last(What.RETIRED)
    if retired is not None:
        yield Reason("retired", NOT_FIT, f"It was retired on {retired.date}.", event=retired)
    lent = look.history.since(What.RETURNED).last(What.LENT)
    if lent is None:
        return
    back = f", expected back on {lent.until}" if lent.until else ""
    late = lent.until is not None and lent.until < look.today
    says = f"It was lent on {lent.date}{f' ({lent.note})' if lent.note else ''}{back}."
    then = "Ask for it back: the day has passed." if late else "Write it down when it is returned."
    yield Reason("lent", NOT_FIT, says, then, event=lent)


_FAULTS = {
    Fault.BLOCKED: ("tip-blocked", "The tip is blocked", "Clear the tip.", "tip"),
    Fault.CHIPPED: (
        "tip-chipped",
        "The tip is chipped",
        "Do not use it: it cuts and runs too fast.",
        "glass",
    ),
    Fault.CRACKED: ("cracked", "It is cracked", "Wrap it, put it in the broken glass, retire it.", "glass"),
    Fault.SCALE: ("scale-unreadable", "Its scale cannot be read", "Retire it.", "inspect"),
    Fault.SEIZED: ("tap-seized", "Its tap is stuck", "Do not force it; ease it.", "tap"),
    Fault.OTHER: ("found-fault", "Something is wrong with it", "Look at it before it is used.", "inspect"),
}


def faults(look: Look) -> Iterator[Reason]:
    """Look at faults found and not mended since."""
    for event in look.history.since(What.REPAIRED).events:
        if event.what is not What.FOUND or event.fault is None:
            continue
        if event.fault is Fault.BLOCKED and _later(look, event, What.TIP_CLEARED):
            continue
        code, seen, then, guide = _FAULTS[event.fault]
        note = f": {event.note}" if event.note else ""
        yield Reason(code, NOT_FIT, f"{seen} (found on {event.date}{note}).", then, guide, event)


def _later(look: Look, event: Event, what: What) -> bool:
    """Tell whether something happened after an event."""
    place = next(k for k, one in enumerate(look.history.events) if one is event)
    return look.history.place_of_last(what) > place


def left_in_it(look: Look) -> Iterator[Reason]:
    """Look at what the piece was last used with, and whether that was cleaned out."""
    used = look.history.since(What.CLEANED).last(What.USED)
    if used is None or _is_water(used.solution):
        return
    solution = used.solution or "a solution that nobody wrote down"
    says = f"It was last used with {solution} on {used.date} and not cleaned since."
    if look.purpose and look.purpose.casefold() == used.solution.casefold():
        then = "It is wanted for the same: still rinse it two or three times with a few millilitres of it."
        yield Reason("same-solution", LIMIT, says, then, "rinse", used)
    else:
        then = "Clean it with small portions of water, at least three times."
        yield Reason("not-cleaned", NOT_FIT, says, then, "clean", used)


def tap_and_tip(look: Look) -> Iterator[Reason]:
    """Look for alkali in a ground-glass tap, and for a solution left to crystallise behind a closed tap."""
    since = look.history.since(What.CLEANED)
    used, away = since.last(What.USED), since.last(What.PUT_AWAY)
    last = used.solution if used is not None else ""
    harm = look.care.harm_of(last)
    if used is not None and harm is not None and harm.alkaline and look.piece.tap is Tap.GLASS:
        says = (
            f"Its ground-glass tap was left with {last} on {used.date}: alkali makes such a tap seize and "
            "eats the glass."
        )
        then = "Ease the tap at once; wash plug and barrel with dilute acid, then water; dry and grease them."
        yield Reason("alkali-in-glass-tap", NOT_FIT, says, then, "tap", used, harm.source)
    if away is None or away.tap_closed is not True or _later(look, away, What.TIP_CLEARED):
        return
    solution = away.solution or last
    harm = look.care.harm_of(solution)
    if harm is not None and harm.crystallises:
        says = (
            f"It was put away on {away.date} with the tap closed on {solution}, which crystallises in the "
            "tip when it dries."
        )
        then = "Run warm water through it; if nothing runs, clear the tip."
        yield Reason("crystals-in-tip", NOT_FIT, says, then, "tip", away, harm.source)


def _is_water(solution: str) -> bool:
    return " ".join(solution.split()).casefold() in WATER
