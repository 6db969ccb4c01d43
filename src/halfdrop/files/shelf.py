"""The register of a laboratory's glassware: a TOML file or a folder of them, with tables of history."""

from __future__ import annotations

from dataclasses import dataclass
from pathlib import Path

from halfdrop.core.findings import Finding, Place
from halfdrop.core.glassware.care import Care
from halfdrop.core.glassware.shelf import Event, Piece, Shelf
from halfdrop.files.care import read_care, shipped_care
from halfdrop.files.fields import Fields, Spot
from halfdrop.files.many import told_in_few
from halfdrop.files.pieces import read_pieces
from halfdrop.files.rows import keyed_rows
from halfdrop.files.shelf_events import KEYS, EventReader
from halfdrop.files.text_files import digest, refusal, refuses
from halfdrop.files.toml_text import TomlText, read_toml


@dataclass(frozen=True)
class ShelfRead:
    """A register as it was read.

    Attributes:
        shelf: pieces and their history.
        care: the rules of the laboratory.
        digest: SHA-256 of everything it was read from.
    """

    shelf: Shelf
    care: Care
    digest: str


def read_shelf(path: Path) -> tuple[ShelfRead | None, tuple[Finding, ...]]:
    """Read a register.

    Args:
        path: the file, or a folder whose TOML files are read in the order of their names.

    Returns:
        The register, None when it cannot be used, and everything noticed in it.
    """
    findings: list[Finding] = []
    tops = _tops(path, findings)
    folder = path if path.is_dir() else path.parent
    pieces = [piece for top in tops for piece in read_pieces(top.subs("piece", "piece"))]
    care = _care(tops)
    reader = EventReader({piece.id: piece for piece in pieces}, folder, care.reading_share)
    events: list[Event] = []
    digests = []
    for top in tops:
        events += reader.read(top.subs("event", "entry"))
        digests.append(top.spot.source.digest if isinstance(top.spot.source, TomlText) else "")
        for name in top.texts("events_file"):
            rows, content = keyed_rows(folder / name, KEYS, findings)
            events += reader.read(rows)
            digests.append(content)
    laboratory = next((text for top in tops if (text := top.text("laboratory"))), "")
    for top in tops:
        top.finish("laboratory")
    _check(path, pieces, findings)
    read = ShelfRead(Shelf(tuple(pieces), tuple(events), laboratory), care, digest(*map(str.encode, digests)))
    return (None if refuses(findings) else read), told_in_few(findings)


def _tops(path: Path, findings: list[Finding]) -> list[Fields]:
    """Return the tables of the file, or of every file of the folder."""
    files = sorted(path.glob("*.toml")) if path.is_dir() else [path]
    if not files:
        message = "This folder holds no file that ends in .toml. halfdrop shelf --form prints a first one."
        findings.append(refusal("shelf-empty", message, Place(str(path))))
    found = []
    for file in files:
        toml, noticed = read_toml(file)
        findings.extend(noticed)
        if toml is not None:
            found.append(Fields(toml.data, Spot(toml), findings))
    return found


def _care(tops: list[Fields]) -> Care:
    care = shipped_care()
    for top in tops:
        table = top.sub("care")
        if table is not None:
            care = read_care(table, care)
    return care


def _check(path: Path, pieces: list[Piece], findings: list[Finding]) -> None:
    """Find a register without a piece, and identities that stand for two."""
    if not pieces and not refuses(findings):
        message = "No piece is listed. Write [[piece]] with id, kind and what is written on the glass."
        findings.append(refusal("shelf-empty", message, Place(str(path))))
    seen: dict[str, Piece] = {}
    for piece in pieces:
        if piece.id in seen:
            message = (
                f"{piece.id} is listed here and in {seen[piece.id].place}. One identity is one piece: number "
                "them apart."
            )
            findings.append(refusal("piece-twice", message, piece.place, piece.id))
        seen.setdefault(piece.id, piece)
