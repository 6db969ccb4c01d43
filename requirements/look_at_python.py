"""Say, before anything is installed, what this Python lacks for Halfdrop.

Run by `make` with whatever `python3` is at hand, so it is written to be understood by old ones too: no
f-strings, no annotations.
"""

import sys

# Debian and Ubuntu leave ensurepip out of python3 and put it into a package of its own.
NO_VENV = (
    "%(python)s has no %(module)s, so it cannot make a virtual environment.\n"
    "Install the package that brings it (Debian, Ubuntu: apt install python3-venv; if that is for another\n"
    "version, python%(version)s-venv), then run make again."
)
TOO_OLD = (
    "Halfdrop needs Python 3.11 or newer; %(python)s is %(version)s.\n"
    "Install a newer one, or name one that is already here: make PYTHON=python3.12 ..."
)


def complaint(version, has_module):
    """Return what is lacking, or "": ``version`` as a pair, ``has_module`` a function of a module's name."""
    words = {"python": sys.executable or "this Python", "version": "%d.%d" % version}
    if version < (3, 11):
        return TOO_OLD % words
    for module in ("venv", "ensurepip"):
        if not has_module(module):
            return NO_VENV % dict(words, module=module)
    return ""


def _importable(name):
    try:
        __import__(name)
    except ImportError:
        return False
    return True


if __name__ == "__main__":
    sys.exit(complaint(sys.version_info[:2], _importable) or 0)
