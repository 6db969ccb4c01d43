"""What a determination was read from, as one number: the file, and its table of trials if it has one."""

from __future__ import annotations

from pathlib import Path

from halfdrop.files.text_files import digest, read_bytes
from halfdrop.files.toml_text import parse_toml


def joined(file: str, table: str) -> str:
    """Return one digest for a file and its table from those of the two; without a table that of the file."""
    return digest(f"{file} {table}".encode()) if table else file


def digest_of(path: Path) -> str:
    """Return the digest of a determination as it stands now; "" when it cannot be read.

    Args:
        path: its TOML file.
    """
    data, _ = read_bytes(path)
    if data is None:
        return ""
    toml, _ = parse_toml(data, path.name)
    named = toml.data.get("trials_file") if toml else None
    if not isinstance(named, str) or not named.strip():
        return digest(data)
    table, _ = read_bytes(path.parent / named.strip())
    return joined(digest(data), digest(table) if table is not None else "")
