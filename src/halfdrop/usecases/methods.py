"""What methods there are, what one says, and whether one can be used."""

from __future__ import annotations

from dataclasses import asdict, dataclass
from pathlib import Path

from halfdrop.core.findings import Finding, Place, Refused, Severity
from halfdrop.core.titration.method import Method
from halfdrop.files.methods import read_method, shipped_method_names
from halfdrop.usecases.answer import finding_as_data
from halfdrop.usecases.start import starting_file


@dataclass(frozen=True)
class MethodList:
    """The shipped methods, in the order of their names."""

    methods: tuple[Method, ...]
    findings: tuple[Finding, ...] = ()

    def to_json(self) -> dict[str, object]:
        """Return the list as data."""
        return {
            "methods": [
                {
                    "name": m.name,
                    "title": m.title,
                    "kind": m.kind,
                    "analyte": m.analyte,
                    "level": m.safety.level,
                }
                for m in self.methods
            ],
            "findings": [finding_as_data(one) for one in self.findings],
        }


@dataclass(frozen=True)
class MethodSeen:
    """One method, and what was noticed about it."""

    method: Method
    findings: tuple[Finding, ...]

    def to_json(self) -> dict[str, object]:
        """Return the method as data."""
        return {"method": asdict(self.method), "findings": [finding_as_data(one) for one in self.findings]}


@dataclass(frozen=True)
class Started:
    """The text of a first determination file for a method."""

    text: str
    findings: tuple[Finding, ...] = ()

    def to_json(self) -> dict[str, object]:
        """Return the text as data."""
        return {"text": self.text, "findings": [finding_as_data(one) for one in self.findings]}


def list_methods() -> MethodList:
    """Return all shipped methods."""
    return MethodList(tuple(see_method(name).method for name in shipped_method_names()))


def see_method(name: str) -> MethodSeen:
    """Return a shipped method by name, or one of your own by its file, with everything noticed about it.

    Raises:
        Refused: with all complaints, when there is no such method or its file cannot be used.
    """
    method, findings = read_method(name)
    if method is None:
        raise Refused(findings)
    return MethodSeen(method, tuple(findings))


def start(name: str, into: Path | None, *, example: bool = False) -> Started:
    """Return a first determination file for a method, and write it if a place is given.

    Raises:
        Refused: when there is no such method, or the file is there already (nothing is overwritten).
    """
    text = starting_file(
        see_method(name).method, example=example, name=name if name.endswith(".toml") else ""
    )
    if into is not None:
        if into.exists():
            message = "There is a file of this name already, and it was left as it is. Give another name."
            raise Refused([Finding("file-exists", Severity.REFUSED, message, Place(str(into)))])
        into.write_text(text, encoding="utf-8")
    return Started(text)
