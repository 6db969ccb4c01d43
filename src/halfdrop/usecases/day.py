"""The technician's day: what is begun when, what is set out where, what comes back, what becomes waste."""

from __future__ import annotations

import datetime as dt
import json
import re
from collections.abc import Iterator, Mapping
from dataclasses import dataclass
from pathlib import Path

from halfdrop.core.findings import Finding, Place, Refused, Severity
from halfdrop.core.solutions.makeup import Basis
from halfdrop.core.solutions.reagent import Stream, When, kept_apart
from halfdrop.core.solutions.timeline import Hours, Slot, Task, backwards
from halfdrop.core.solutions.waste import Used, special_streams, waste_ml, water_ml
from halfdrop.files.class_file import ClassFile, read_class_file
from halfdrop.files.equipment import Piece
from halfdrop.files.reagents import shipped_streams
from halfdrop.usecases.answer import finding_as_data
from halfdrop.usecases.labels import Label, stream_label
from halfdrop.usecases.makeup import MakeupAnswer, Sheet, makeup_of
from halfdrop.usecases.start import starting_file

# Hours of hands-on work; all common practice, no source.
START_WAIT_H, BATCH_H, STANDARDISE_H, PRE_RUN_H, SET_OUT_H = 0.25, 0.5, 1.5, 1.0, 1.0


@dataclass(frozen=True)
class SetOut:
    """One kind of thing: how many in all, on each bench, and what came back.

    Attributes:
        piece: what it is.
        total: set out in all.
        by_bench: on each bench; empty for what stands on the trolley.
        back, broken: counted in afterwards, or None.
    """

    piece: Piece
    total: int
    by_bench: tuple[int, ...]
    back: int | None = None
    broken: int = 0

    @property
    def missing(self) -> int | None:
        """What has not come back, whole or broken; None where nobody counted."""
        return None if self.back is None else self.total - self.back - self.broken


@dataclass(frozen=True)
class Poured:
    """Waste of one stream: how much, and which of the others must not meet it."""

    stream: Stream
    volume_ml: float
    apart: tuple[str, ...]


@dataclass(frozen=True)
class DayAnswer:
    """The day of one class.

    Attributes:
        makeup: its make-up sheets.
        when: when the class begins.
        slots: what is done when, earliest first.
        set_out: equipment.
        on_bench: solutions for each bench, name -> mL for each bench.
        waste: by stream.
        water_ml: by purpose.
        findings: what was noticed.
    """

    makeup: MakeupAnswer
    when: dt.datetime
    slots: tuple[Slot, ...]
    set_out: tuple[SetOut, ...]
    on_bench: Mapping[str, tuple[float, ...]]
    waste: tuple[Poured, ...]
    water_ml: Mapping[str, float]
    findings: tuple[Finding, ...]

    @property
    def plan(self) -> ClassFile:
        """The class file."""
        return self.makeup.plan

    def labels(self) -> tuple[Label, ...]:
        """Return the labels of the waste containers."""
        return tuple(
            stream_label(
                one.stream, self.plan, tuple(_title(name) for name in one.apart), one.volume_ml / 1000
            )
            for one in self.waste
            if one.stream.name != "drain"
        )

    def pre_runs(self) -> dict[str, str]:
        """Return a determination file for the instructor's own run of each method, name -> text."""
        return {f"pre-run-{Path(name).stem}.toml": _pre_run(self, name) for name in self.plan.methods}

    def to_json(self) -> dict[str, object]:
        """Return the day as data."""
        return {
            "class": self.plan.title,
            "when": self.when.isoformat(" ", "minutes"),
            "tasks": [_slot_as_data(one) for one in self.slots],
            "set_out": [_set_out_as_data(one) for one in self.set_out],
            "solutions_by_bench_mL": {name: list(volumes) for name, volumes in self.on_bench.items()},
            "waste": [
                {
                    "stream": one.stream.name,
                    "title": one.stream.title,
                    "litres": one.volume_ml / 1000,
                    "never_with": list(one.apart),
                }
                for one in self.waste
            ],
            "water_litres": {name: volume / 1000 for name, volume in self.water_ml.items()},
            "makeup": self.makeup.to_json(),
            "findings": [finding_as_data(one) for one in self.findings],
        }


def _slot_as_data(one: Slot) -> dict[str, object]:
    return {
        "says": one.task.says, "of": one.task.of, "begins": one.begins.isoformat(" ", "minutes"),
        "ends": one.ends.isoformat(" ", "minutes"), "hands_on": one.task.hands, "why": one.task.why,
    }  # fmt: skip


def _set_out_as_data(one: SetOut) -> dict[str, object]:
    return {
        "item": one.piece.item, "per": one.piece.per, "total": one.total, "by_bench": list(one.by_bench),
        "have": one.piece.have, "back": one.back, "broken": one.broken, "missing": one.missing,
    }  # fmt: skip


def _title(name: str) -> str:
    return shipped_streams()[name].title


def day(file: Path) -> DayAnswer:
    """Plan the day of a class.

    Raises:
        Refused: when the file cannot be used, or does not say when the class begins.
    """
    plan, noticed = read_class_file(file)
    if plan.when is None:
        message = 'The file does not say when the class begins. Write when = "2026-09-17 14:00".'
        raise Refused(
            [Finding("key-missing", Severity.REFUSED, message, Place(str(file), 0, "when")), *noticed]
        )
    made = makeup_of(plan, noticed)
    findings = list(made.findings)
    slots = tuple(sorted(_slots(made, plan.when), key=lambda one: (one.begins, one.ends)))
    findings.extend(_late(plan, slots))
    set_out = tuple(_set_out(plan))
    findings.extend(_counted(plan, set_out))
    used = [_used(one) for one in made.sheets]
    waste = tuple(_poured(used, findings, plan))
    on_bench = {
        one.wanted.name: tuple(one.wanted.needs.per_analyst_ml * n for n in bench_sizes(plan))
        for one in made.sheets
        if one.wanted.needs is not None
    }
    water = water_ml(used, plan.analysts)
    return DayAnswer(made, plan.when, slots, set_out, on_bench, waste, water, tuple(findings))


# ---------------------------------------------------------------------------------------------- the schedule


def _slots(made: MakeupAnswer, when: dt.datetime) -> Iterator[Slot]:
    gear = made.plan.gear
    hours = Hours(gear.opens, gear.closes, gear.weekend, gear.staff)
    common = [
        Task(
            "the instructor's own run of the method, with the solutions of the class", PRE_RUN_H, hands=True
        ),
        Task("set out benches and trolley", SET_OUT_H, hands=True),
    ]
    if not made.plan.methods:
        common = common[1:]
    ready = backwards(when, common, hours)
    found = list(ready)
    # what takes longest from beginning to end has the first choice of time
    rows = sorted(
        (list(_tasks(sheet)) for sheet in made.sheets), key=lambda tasks: -sum(t.hours for t in tasks)
    )
    for tasks in rows:
        found.extend(backwards(ready[0].begins, tasks, hours, found))
    yield from found


def _tasks(sheet: Sheet) -> Iterator[Task]:
    """Yield the tasks of one solution in order: what must be ready, making, standing, standardising."""
    name, steps = sheet.wanted.name, () if sheet.planned.stock else sheet.reagent.steps
    for step in steps:
        if step.when is When.BEFORE and step.hours:
            yield Task(f"begin: {step.says.split('.')[0].split(':')[0]}", START_WAIT_H, hands=True, of=name)
            yield Task(f"{step.why}, {step.hours:g} h", step.hours, hands=False, why=step.source, of=name)
    dissolving = sum(step.hours for step in steps if step.when is When.DISSOLVE)
    yield Task(f"make {name}", BATCH_H * len(sheet.planned.batches) + dissolving, hands=True, of=name)
    for step in steps:
        if step.when is When.AFTER and step.hours:
            yield Task(
                f"it stands {step.hours:g} h: {step.why}", step.hours, hands=False, why=step.source, of=name
            )
    if sheet.basis is Basis.NOMINAL and sheet.reagent.standardise_by and sheet.wanted.used == "burette":
        by = " or ".join(sheet.reagent.standardise_by)
        yield Task(f"standardise {name} (method {by})", STANDARDISE_H, hands=True, of=name)


def _late(plan: ClassFile, slots: tuple[Slot, ...]) -> Iterator[Finding]:
    """Say what must be begun before the day on which solutions are to be made."""
    if not plan.made_on:
        return
    for slot in slots:
        if slot.task.of and slot.begins.date().isoformat() < plan.made_on:
            message = (
                f"'{slot.task.says}' for {slot.task.of} must begin by {slot.begins:%Y-%m-%d %H:%M}, "
                "before made_on = "
                f"{plan.made_on}. Begin earlier, or take a solution that is there already."
            )
            yield Finding("begins-too-late", Severity.ATTENTION, message, Place(plan.file))


# ------------------------------------------------------------------------------------------------- equipment


def bench_sizes(plan: ClassFile) -> tuple[int, ...]:
    """Return how many analysts stand at each bench, as evenly as can be."""
    least, more = divmod(plan.analysts, plan.benches)
    return tuple(least + (k < more) for k in range(plan.benches))


def _set_out(plan: ClassFile) -> Iterator[SetOut]:
    returned = {one.item: one for one in plan.gear.returned}
    for piece in plan.gear.pieces:
        if piece.per == "class":
            by_bench: tuple[int, ...] = ()
        else:
            by_bench = tuple(piece.count * (n if piece.per == "analyst" else 1) for n in bench_sizes(plan))
        total = sum(by_bench) if by_bench else piece.count
        back = returned.get(piece.item)
        yield SetOut(piece, total, by_bench, back.back if back else None, back.broken if back else 0)


def _counted(plan: ClassFile, set_out: tuple[SetOut, ...]) -> Iterator[Finding]:
    """Say what there is too little of, and what did not come back as it went out."""
    place = Place(plan.file)
    for one in set_out:
        item, have = one.piece.item, one.piece.have
        if have is not None and have < one.total:
            message = f"{item}: {one.total} are set out, {have} are there. {one.total - have} are short."
            yield Finding("equipment-short", Severity.ATTENTION, message, place)
        if one.missing:
            way = "did not come back" if one.missing > 0 else "came back that were not set out"
            yield Finding("count-back", Severity.ATTENTION, f"{item}: {abs(one.missing)} {way}.", place)
        if one.broken:
            yield Finding("broken", Severity.NOTE, f"{item}: {one.broken} broken. Replace.", place)


# ------------------------------------------------------------------------------------------ waste and water


def _used(sheet: Sheet) -> Used:
    wanted = sheet.wanted
    titrated = wanted.used in ("burette", "pipette")
    return Used(wanted.name, sheet.reagent.waste, titrated, wanted.needs, sheet.planned.made_ml)


def _poured(used: list[Used], findings: list[Finding], plan: ClassFile) -> Iterator[Poured]:
    streams = shipped_streams()
    special = special_streams(one.stream for one in used if one.titrated)
    if len(special) > 1:
        message = (
            f"{' and '.join(_title(one) for one in special)} would meet in one flask. Its content is "
            "counted as "
            f"{_title(special[0])} here; look at what the method says."
        )
        findings.append(Finding("waste-mixed", Severity.ATTENTION, message, Place(plan.file)))
    volumes = waste_ml(used)
    apart = kept_apart(streams[name] for name in volumes)
    for name, volume in sorted(volumes.items(), key=lambda pair: -pair[1]):
        yield Poured(streams[name], volume, apart[name])


# ----------------------------------------------------------------------------------------------- the pre-run


def _pre_run(answer: DayAnswer, name: str) -> str:
    """Return the file of a determination for the instructor's own run, with what is known filled in."""
    text = starting_file(answer.plan.methods[name], name=name if name.endswith(".toml") else "")
    filled = {
        "sample = ": json.dumps(f"pre-run for {answer.plan.title}", ensure_ascii=False),
        "analyst = ": json.dumps("instructor"),
        "# date = ": answer.when.date().isoformat(),
    }
    for key, value in filled.items():
        new = f"{key.removeprefix('# ')}{value}"
        found = re.search(rf"^{re.escape(key)}.*$", text, re.MULTILINE)
        if found is not None:
            text = text[: found.start()] + new + text[found.end() :]
    return text
