"""TOML files: the values with their digits and their places, or findings that say what to mend.

Numbers keep what was written: ``final = 24.40`` is read as :class:`NumberText` and not as a float that has
lost its last zero. What cannot be read is a list of findings with file and line, one for each statement at
fault.
"""

from __future__ import annotations

import tomllib
from collections.abc import Mapping
from dataclasses import dataclass, field
from functools import cached_property
from pathlib import Path as FilePath
from typing import Any

from halfdrop.core.findings import Finding, Place
from halfdrop.files.text_files import decoded, digest, read_bytes, refusal
from halfdrop.files.toml_faults import faults
from halfdrop.files.toml_lines import Path, line_index, nearest_line


@dataclass(frozen=True)
class NumberText:
    """A number with a point or a power of ten, as it was written without quotes."""

    text: str


@dataclass(frozen=True)
class TomlText:
    """A TOML file that was read.

    Attributes:
        file: name of the file as given.
        data: its tables; numbers are ``int`` or :class:`NumberText`.
        text: its text, with plain line ends.
        digest: SHA-256 of its bytes.
    """

    file: str
    data: Mapping[str, Any]
    text: str = field(repr=False)
    digest: str

    @cached_property
    def lines(self) -> Mapping[Path, int]:
        """Line of every key, by its path."""
        return line_index(self.text)

    def line(self, path: Path) -> int:
        """Return the line of a key, or of the nearest table around it; 0 when that is not known."""
        return nearest_line(self.lines, path)


def read_toml(path: FilePath, shown: str = "") -> tuple[TomlText | None, list[Finding]]:
    """Read a TOML file.

    Args:
        path: the file.
        shown: its name in findings, when that is not the path as given.

    Returns:
        The file, or None and the findings that say why it cannot be used.
    """
    data, findings = read_bytes(path)
    if data is None:
        return None, [finding.at(Place(shown)) for finding in findings] if shown else findings
    return parse_toml(data, shown or str(path))


def parse_toml(data: bytes | str, file: str = "") -> tuple[TomlText | None, list[Finding]]:
    """Read the content of a TOML file.

    Args:
        data: its bytes, or its text.
        file: its name, for findings.
    """
    raw = data.encode("utf-8", errors="surrogatepass") if isinstance(data, str) else data
    text, findings = decoded(raw, file)
    if text is None:
        return None, findings
    try:
        parsed = tomllib.loads(text, parse_float=NumberText)
    except RecursionError:
        message = "Brackets stand inside brackets too many times. Write the values with fewer brackets."
        return None, [refusal("toml-too-deep", message, Place(file))]
    except ValueError as error:  # a mistake in the TOML, or a whole number of thousands of digits
        return None, list(faults(text, str(error), file))
    return TomlText(file, parsed, text, digest(raw)), []
