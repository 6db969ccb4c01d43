"""Forms to fill in, as answers."""

from __future__ import annotations

from dataclasses import dataclass

from halfdrop.core.findings import Finding


@dataclass(frozen=True)
class Form:
    """A form to fill in."""

    text: str
    findings: tuple[Finding, ...] = ()

    def to_json(self) -> dict[str, object]:
        """Return the form as data."""
        return {"text": self.text, "findings": []}
