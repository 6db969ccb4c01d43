"""What tests say of a piece: leak, delivery time, drainage, calibration, check weight."""

from __future__ import annotations

from collections.abc import Iterator

from halfdrop.core.glassware.conformity import Outcome
from halfdrop.core.glassware.drainage import Creep, DrainageCheck, judge_creep
from halfdrop.core.glassware.leak import Stand, StandFound, judge_stand
from halfdrop.core.glassware.outflow import Asked, Pace, TimeFound, TimeRange, find_range, judge_times
from halfdrop.core.glassware.shelf import (
    CalibrationDone,
    DeliveryTimes,
    Event,
    Kind,
    LeakTest,
    Piece,
    WeightCheck,
    What,
)
from halfdrop.core.glassware.verdict import Look, Reason, Standing

FIT, LIMIT, NOT_FIT = Standing.FIT, Standing.LIMIT, Standing.NOT_FIT


def leak(look: Look) -> Iterator[Reason]:
    """Look at the latest leak test since the tap was last seen to."""
    event = look.history.last(What.LEAK_TEST)
    if event is None or not isinstance(event.test, LeakTest):
        says = "No leak test of this burette is known."
        yield Reason("leak-untested", LIMIT, says, "Wipe the tip and wait a minute before the class.", "leak")
        return
    repaired = look.history.since(What.LEAK_TEST).last(What.REPAIRED)
    if repaired is not None:
        says = f"The burette was repaired on {repaired.date} and not tested for leaks since."
        then = "Wipe the tip, wait a minute, then let it stand."
        yield Reason("leak-untested", LIMIT, says, then, "leak", repaired)
        return
    yield from _wipe(event, event.test)
    if event.test.stand is not None:
        yield _stand(look, event, event.test.stand)
    yield from _due(look, event, "leak test", "leak")


def _wipe(event: Event, test: LeakTest) -> Iterator[Reason]:
    if test.wipe is not None and test.wipe.drop:
        says = (
            f"The tap leaks: on {event.date} a drop had formed at the wiped tip within "
            f"{test.wipe.minutes:g} min."
        )
        then = "Clean and reseat the tap (grease only ground glass), then test again."
        yield Reason("leaks", NOT_FIT, says, then, "leak", event)


def _stand(look: Look, event: Event, stand: Stand) -> Reason:
    division = _division_ml(look.piece)
    found = judge_stand(
        stand,
        division,
        look.care.leak,
        look.care.reading_share * division,
        look.care.decision,
        look.care.trial,
    )
    evidence: dict[str, object] = {
        "fallen_ml": stand.fallen_ml, "minutes": stand.minutes, "allowed_ml": found.allowed_ml,
        "rate_ml_min": found.rate_ml_min, "per_trial_ml": found.per_trial_ml, "per_cent": found.per_cent,
    }  # fmt: skip
    code, standing, then = _STANDS[found.outcome]
    if found.outcome is Outcome.CANNOT_DECIDE:
        then = then.format(minutes=found.needed_minutes)
    says = _stand_says(event, found, look)
    return Reason(code, standing, says, then, "leak", event, look.care.leak.source, evidence)


_STANDS = {
    Outcome.WITHIN: ("leak-within", FIT, ""),
    Outcome.OUT: ("leaks", NOT_FIT, "Clean and reseat the tap (grease only ground glass), then test again."),
    Outcome.CANNOT_DECIDE: ("leak-undecided", LIMIT, "Let it stand for {minutes:.0f} min or longer."),
}


def _stand_says(event: Event, found: StandFound, look: Look) -> str:
    stand, about = found.stand, look.care.trial
    seen = f"On {event.date} the level fell by {stand.fallen_ml:.2f} mL in {stand.minutes:g} min"
    cost = (
        f"That is at most {found.per_trial_ml:.2g} mL in a trial of {about.minutes:g} min, "
        f"{found.per_cent:.2g} % of {about.titre_ml:g} mL."
    )
    if found.outcome is Outcome.WITHIN:
        return f"{seen}, and {found.allowed_ml:.2g} mL are allowed. {cost}"
    if found.outcome is Outcome.OUT:
        return f"The tap leaks. {seen}, where {found.allowed_ml:.2g} mL are allowed. {cost}"
    return f"{seen}. The reading cannot tell that from the {found.allowed_ml:.2g} mL that are allowed. {cost}"


def _division_ml(piece: Piece) -> float:
    return float(piece.division_ml) if piece.division_ml is not None else 0.1


def delivery_time(look: Look) -> Iterator[Reason]:
    """Look at the latest delivery time since the tip was last seen to."""
    event = look.history.last(What.DELIVERY_TIME)
    if event is None or not isinstance(event.test, DeliveryTimes):
        return
    mended = look.history.since(What.DELIVERY_TIME).last(What.TIP_CLEARED, What.REPAIRED)
    if mended is not None:
        says = f"The tip was seen to on {mended.date}, after the delivery time was last taken."
        then = "Take the delivery time again."
        yield Reason("delivery-untested", LIMIT, says, then, "delivery", mended)
    elif event.test.blocked:
        says = f"On {event.date} nothing ran through the tip."
        yield Reason("tip-blocked", NOT_FIT, says, "Clear the tip.", "tip", event)
    else:
        yield from _pace(look, event, event.test)


def _pace(look: Look, event: Event, test: DeliveryTimes) -> Iterator[Reason]:
    piece = look.piece
    asked = Asked(
        piece.kind.value, piece.standard or _DEFAULT_STANDARDS[piece.kind], piece.glass_class,
        float(piece.capacity_ml or 0), piece.length_cm,
    )  # fmt: skip
    found = judge_times(test.seconds, _range(look, asked), look.care.times, asked)
    evidence: dict[str, object] = {"seconds": list(test.seconds), "mean_s": found.mean_s}
    if found.range is None:
        says = (
            f"On {event.date} it ran out in {found.mean_s:.0f} s; no range is known for "
            f"{asked.capacity_ml:g} mL, class {asked.glass_class or 'not written'}, of {asked.standard}."
        )
        then = "Write the range on the piece, or that of its standard, as delivery_s."
        yield Reason("delivery-range-unknown", FIT, says, then, "delivery", event, "", evidence)
        return
    evidence |= {"least_s": found.range.least_s, "most_s": found.range.most_s}
    code, standing, then, means = _PACES[found.pace]
    says = (
        f"On {event.date} it ran out in {found.mean_s:.0f} s; {found.range.standard} has {found.range.text}"
        f"{' (from memory)' if found.range.from_memory else ''}. {means}"
    )
    yield Reason(code, standing, says.strip(), then, "delivery", event, found.range.source, evidence)
    yield from _contradictions(found, event)


_DEFAULT_STANDARDS = {
    Kind.BURETTE: "ISO 385", Kind.PIPETTE: "ISO 648", Kind.FLASK: "ISO 1042", Kind.BALANCE: "",
}  # fmt: skip
_PACES = {
    Pace.IN_RANGE: ("delivery-in-range", FIT, "", ""),
    Pace.TOO_FAST: (
        "delivers-too-fast", LIMIT,
        "Look for a chipped tip. Until it is replaced, wait before each reading until the level has stopped.",
        "Too fast: the film on the wall runs after it, and a reading made at once is too high.",
    ),
    Pace.TOO_SLOW: (
        "delivers-too-slowly", LIMIT, "Clear the tip and take the time again.",
        "Too slow: the tip is partly blocked, or the bore of the tap is.",
    ),
}  # fmt: skip


def _range(look: Look, asked: Asked) -> TimeRange | None:
    own = look.piece.delivery_s
    if own is not None:
        return TimeRange(
            asked.kind, "this piece", "", (0, float("inf")), None, own[0], own[1], look.piece.waiting_s or 0,
            "as written on the piece",
        )  # fmt: skip
    return find_range(look.care.times, asked)


def _contradictions(found: TimeFound, event: Event) -> Iterator[Reason]:
    if found.range is not None and found.contradicting:
        others = "; ".join(f"{_named(one)} {one.text}" for one in found.contradicting)
        says = (
            f"Standards contradict each other: {_named(found.range)} has {found.range.text}; {others}. The "
            "one that the piece names decides."
        )
        sources = "; ".join(one.source for one in found.contradicting)
        yield Reason("delivery-standards-differ", FIT, says, "", "delivery", event, sources)


def _named(one: TimeRange) -> str:
    return f"{one.standard}, class {one.glass_class}," if one.glass_class else one.standard


def drainage(look: Look) -> Iterator[Reason]:
    """Look at the latest drainage check since the piece was last cleaned."""
    event = look.history.last(What.DRAINAGE)
    if event is None or not isinstance(event.test, DrainageCheck):
        return
    cleaned = look.history.since(What.DRAINAGE).last(What.CLEANED)
    if event.test.droplets and cleaned is None:
        says = f"On {event.date} droplets clung to the wall: it is not clean, and each is about 0.05 mL."
        yield Reason("droplets-cling", NOT_FIT, says, "Clean it, then look again.", "clean", event)
    elif event.test.droplets:
        says = f"Droplets clung to the wall on {event.date}; it was cleaned since and not looked at again."
        yield Reason(
            "drainage-untested", LIMIT, says, "Let water run out and look at the wall.", "clean", event
        )
    if event.test.creep is not None:
        yield from _creep(look, event, event.test.creep)


def _creep(look: Look, event: Event, creep: Creep) -> Iterator[Reason]:
    found = judge_creep(creep, look.care.reading_share * _division_ml(look.piece))
    if not found.seen:
        return
    says = (
        f"On {event.date} the level rose by {creep.risen_ml:.2f} mL in {creep.seconds:g} s after a fast run: "
        "film was still coming down."
    )
    then = f"Wait at least {creep.seconds:g} s before each reading, or run more slowly towards the end."
    evidence: dict[str, object] = {"risen_ml": creep.risen_ml, "seconds": creep.seconds, "u_ml": found.u_ml}
    yield Reason("film-comes-down", LIMIT, says, then, "read", event, "", evidence)


def calibration(look: Look) -> Iterator[Reason]:
    """Look at the latest calibration: whether it holds still, and what it found."""
    event = look.history.last(What.CALIBRATED)
    if event is None or not isinstance(event.test, CalibrationDone):
        if look.piece.kind is Kind.BALANCE:
            says = "No calibration of this balance is known."
            yield Reason("calibration-missing", LIMIT, says, "Have it calibrated.", "calibrate")
        return
    changed = look.history.since(What.CALIBRATED).last(What.REPAIRED)
    if changed is not None:
        says = f"It was repaired on {changed.date}, after its calibration of {event.date}."
        then = "Calibrate it again. Until then its corrections do not hold; its class does, with a whole tip."
        yield Reason("calibration-before-repair", LIMIT, says, then, "calibrate", changed)
        return
    yield from _outcome(look.piece.kind, event, event.test)
    yield from _holds(look, event, event.test)


def _outcome(kind: Kind, event: Event, done: CalibrationDone) -> Iterator[Reason]:
    if done.outcome is None or done.outcome is Outcome.WITHIN:
        return
    limit = f" of {done.limit_ml:g} mL" if done.limit_ml is not None else ""
    error = f" The largest error was {abs(done.worst_ml):.3f} mL." if done.worst_ml is not None else ""
    evidence: dict[str, object] = {"worst_ml": done.worst_ml, "limit_ml": done.limit_ml, "file": done.file}
    if done.outcome is Outcome.CANNOT_DECIDE:
        says = f"The calibration of {event.date} was too coarse to decide about the limit{limit}.{error}"
        then = f"{_USE[kind]} Or measure again, more finely." if done.corrections else "Calibrate it again."
        yield Reason("calibration-undecided", LIMIT, says, then, "calibrate", event, "", evidence)
    elif done.corrections:
        says = f"The calibration of {event.date} found it out of its limit{limit}.{error}"
        yield Reason("use-with-corrections", LIMIT, says, _USE[kind], "calibrate", event, "", evidence)
    else:
        says = (
            f"The calibration of {event.date} found it out of its limit{limit}, and no corrections are known."
            f"{error}"
        )
        mend = "Have it adjusted and calibrated." if kind is Kind.BALANCE else "Calibrate it, or retire it."
        yield Reason("out-of-tolerance", NOT_FIT, says, mend, "calibrate", event, "", evidence)


_USE = {
    Kind.BURETTE: "Use it only with its corrections: name the calibration in the determination.",
    Kind.PIPETTE: "Use it only with the volume found: write that and its u in the determination.",
    Kind.FLASK: "Use it only with the volume found: write that and its u in the determination.",
    Kind.BALANCE: "Use it only with its corrections.",
}


def _holds(look: Look, event: Event, done: CalibrationDone) -> Iterator[Reason]:
    key = "balance" if look.piece.kind is Kind.BALANCE else look.piece.material
    interval = look.care.calibration.get(key)
    if done.due is not None:
        if done.due < look.today:
            yield _overdue(look, event, f"it held until {done.due}", "as written")
    elif interval is not None and look.age_days(event) > interval.days:
        years = interval.days / 365.25
        yield _overdue(look, event, f"it is due again after {years:.3g} years", interval.source)


def _overdue(look: Look, event: Event, why: str, source: str) -> Reason:
    says = f"The calibration of {event.date} is past its date: {why}."
    if look.piece.kind is Kind.BALANCE:
        then = "Have it calibrated. Until then hold a check weight against it every day it is used."
    else:
        then = "Calibrate it again. Until then take the limit of its class, not its corrections."
    return Reason("calibration-overdue", LIMIT, says, then, "calibrate", event, source)


def check_weight(look: Look) -> Iterator[Reason]:
    """Look at the latest check weight of a balance."""
    event = look.history.last(What.CHECK_WEIGHT)
    if event is None or not isinstance(event.test, WeightCheck):
        return
    test = event.test
    if look.history.since(What.CHECK_WEIGHT).last(What.REPAIRED, What.CALIBRATED) is None:
        evidence: dict[str, object] = {"error_mg": test.error_mg, "limit_mg": test.limit_mg}
        if abs(test.error_mg) > test.limit_mg * (1 + 1e-9):
            says = (
                f"On {event.date} it showed {test.shown_g:g} g for {test.mass_g:g} g: {test.error_mg:+.2g} "
                f"mg, where {test.limit_mg:g} mg are allowed."
            )
            then = "Level it, warm it up, adjust it, and put the weight on again."
            yield Reason("check-weight-out", NOT_FIT, says, then, "balance", event, "", evidence)
    yield from _due(look, event, "check weight", "balance")


def _due(look: Look, event: Event, test: str, guide: str) -> Iterator[Reason]:
    interval = look.care.tests.get(test)
    if interval is not None and look.age_days(event) > interval.days:
        says = f"The last {test} was on {event.date}, {look.age_days(event)} days ago."
        then = f"Repeat the {test}: it is due every {interval.days} days."
        yield Reason(f"{test.replace(' ', '-')}-due", LIMIT, says, then, guide, event, interval.source)
