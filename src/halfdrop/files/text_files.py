"""Files as people hand them over: bytes that may be missing or not UTF-8, and the text in them."""

from __future__ import annotations

import hashlib
from codecs import BOM_UTF8, BOM_UTF16_BE, BOM_UTF16_LE
from pathlib import Path

from halfdrop.core.findings import Finding, Place, Severity


def refusal(code: str, message: str, place: Place, given: object = None, accepted: object = None) -> Finding:
    """Return a finding that refuses an input, with what was given and what is accepted as evidence."""
    known = {"given": given, "accepted": accepted}
    evidence = {name: value for name, value in known.items() if value is not None}
    return Finding(code, Severity.REFUSED, message, place, evidence)


def note(code: str, message: str, place: Place, given: object = None) -> Finding:
    """Return a finding that is worth knowing and asks for nothing."""
    return Finding(code, Severity.NOTE, message, place, {} if given is None else {"given": given})


def attention(code: str, message: str, place: Place, given: object = None) -> Finding:
    """Return a finding that a person should look at."""
    return Finding(code, Severity.ATTENTION, message, place, {} if given is None else {"given": given})


def refuses(findings: list[Finding]) -> bool:
    """Tell whether one of the findings is a refusal."""
    return any(finding.severity is Severity.REFUSED for finding in findings)


def read_bytes(path: Path) -> tuple[bytes | None, list[Finding]]:
    """Return the content of a file, or None and the finding that says why it cannot be read."""
    place = Place(str(path))
    try:
        return path.read_bytes(), []
    except FileNotFoundError:
        return None, [refusal("file-missing", _missing(path), place, str(path))]
    except IsADirectoryError:
        message = "This is a folder, and a file is wanted. Name the file in it."
        return None, [refusal("file-is-folder", message, place, str(path))]
    except OSError as error:
        reason = (error.strerror or str(error)).lower()
        message = f"The file cannot be read: {reason}. Look at its name and its permissions."
        return None, [refusal("file-unreadable", message, place, str(path))]
    except ValueError:  # a name that no system has, such as one with a zero byte in it
        message = "No file can have this name. Look at it for signs that cannot be seen."
        return None, [refusal("file-unreadable", message, place, str(path))]


def _missing(path: Path) -> str:
    """Say that a file is not there, and what is there instead."""
    from difflib import get_close_matches

    folder = path.parent
    try:
        names = sorted(each.name for each in folder.iterdir())
    except (OSError, ValueError):
        return f"There is no such file, and no folder {folder} either. Look at the path."
    near = get_close_matches(path.name, names, 1, 0.6)
    return (
        f"There is no such file. Did you mean {near[0]}?"
        if near
        else "There is no such file. Look at its name."
    )


def decoded(data: bytes, file: str) -> tuple[str | None, list[Finding]]:
    """Return the text in a file: UTF-8, with or without a byte-order mark, any line ends.

    Returns:
        The text with plain line ends, or None and the finding that says where it stops being UTF-8.
    """
    if data.startswith((BOM_UTF16_LE, BOM_UTF16_BE)):
        message = "The file is saved as UTF-16 (some editors call it Unicode). Save it again as UTF-8."
        return None, [refusal("not-utf-8", message, Place(file, 1))]
    try:
        text = data.removeprefix(BOM_UTF8).decode("utf-8")
    except UnicodeDecodeError as error:
        before = error.object[: error.start].replace(b"\r\n", b"\n").replace(b"\r", b"\n")
        line = before.count(b"\n") + 1
        sign = error.object[error.start : error.start + 1]
        seen = sign.decode("cp1252", errors="replace")
        message = (
            "The file is not saved as UTF-8: the first sign that cannot be read stands on this line "
            f"('{seen}', if it was saved with Western European settings). Save it again as UTF-8."
        )
        return None, [refusal("not-utf-8", message, Place(file, line), sign.hex())]
    return text.replace("\r\n", "\n").replace("\r", "\n"), []


def digest(*parts: bytes) -> str:
    """Return the SHA-256 of what something was read from, in hexadecimal; several files follow each other."""
    whole = hashlib.sha256()
    for part in parts:
        whole.update(len(part).to_bytes(8, "big") if len(parts) > 1 else b"")
        whole.update(part)
    return whole.hexdigest()
