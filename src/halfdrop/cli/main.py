"""The command line: which commands there are, and what all of them have in common.

A command is a module of this room with the command's name and a function ``command`` (or a ``typer.Typer`` of
that name, for a command that has commands of its own). The function asks one use-case and returns the exit
status:

    0  done
    1  done, with findings that need attention
    2  the input, or the command line, cannot be used
    3  a fault of Halfdrop itself

To add one, write the module and name it in :data:`COMMANDS`. Only the module of the command that was asked
for is loaded, and inside it use-cases are imported by the function: ``halfdrop --help`` stays quick however
many there are.
"""

from __future__ import annotations

import importlib
import io
import sys
from collections.abc import Collection, Sequence
from typing import Annotated, NoReturn

import click
import typer

from halfdrop import __version__
from halfdrop.cli import shown
from halfdrop.core.findings import Finding, Place, Refused, Severity
from halfdrop.usecases.answer import CANNOT_BE_USED

# Name and sentence, in the order of the list that --help prints. The sentence is the first line of the
# command's own help as well (a test holds the two together) and short enough for a narrow terminal.
COMMANDS = {
    "result": "Work out a result from a page of readings.",
    "start": "Write a first determination file for a method.",
    "method": "List methods, show one, or check one of your own.",
    "demo": "Work out the demonstration class and write its reports.",
    "shelf": "Say which glassware is fit for use, and why.",
    "calibrate": "Work out a calibration from weighings of water.",
    "makeup": "Plan the solutions of a class: what to take, in what, how.",
    "day": "Plan the day of a class: what stands, what is set out.",
    "rinse": "Say how many rinses a burette needs, and what fewer cost.",
    "curve": "Draw up a titration curve and judge its indicators.",
    "endpoint": "Find the end point in a table of pH or another signal.",
    "formula": "Count the atoms of a formula and weigh it.",
}

FAULT = 3
FAULT_SENTENCE = (
    "This is a fault in Halfdrop, not in your input. Please report the lines above, with the command and the "
    "file that led to it."
)


def app_with(loaded: Collection[str]) -> typer.Typer:
    """Return the application with some commands ready to run and the others only in its list.

    Args:
        loaded: names of the commands to import; an unknown name is left for typer to complain about.
    """
    app = typer.Typer(
        name="halfdrop",
        add_completion=False,
        rich_markup_mode=None,  # plain help: importing rich would take half the time that --help may take
        pretty_exceptions_enable=False,
    )
    app.callback()(_before_any_command)
    for name, sentence in COMMANDS.items():
        if name in loaded:
            _add(app, name)
        else:
            app.command(name, help=sentence)(_only_in_the_list)
    return app


def main(arguments: Sequence[str]) -> int:
    """Run one command line (none: the help) and return its exit status; a wrong input raises nothing here."""
    asked = [argument for argument in arguments if not argument.startswith("-")][:1]
    try:
        status = app_with(asked)(list(arguments) or ["--help"], prog_name="halfdrop", standalone_mode=False)
        sys.stdout.flush()
    except Refused as refused:
        return shown.refusal(refused.findings, as_json="--json" in arguments)
    except click.ClickException as misunderstood:
        return _command_line_unclear(misunderstood)
    except (
        BrokenPipeError,
        SystemExit,
    ):  # the reader has gone; typer leaves by SystemExit only when it meets that
        shown.let_go(sys.stdout)
        return 0
    except OSError as error:
        return _cannot_be_written(error)
    except Exception:  # the last door before the terminal: say whose fault it is, and keep the traceback
        return _own_fault()
    return status or 0


def run() -> NoReturn:
    """Start from the terminal."""
    for stream in (sys.stdout, sys.stderr):
        # A terminal that lacks a letter (a middle dot, a plus-minus sign) gets it spelled out, not a crash.
        if isinstance(stream, io.TextIOWrapper):
            stream.reconfigure(errors="backslashreplace")
    sys.exit(main(sys.argv[1:]))


def _print_version(wanted: bool) -> None:
    if wanted:
        shown.say([f"halfdrop {__version__}"])
        raise typer.Exit


def _before_any_command(
    version: Annotated[
        bool,
        typer.Option("--version", callback=_print_version, is_eager=True, help="Print the version and stop."),
    ] = False,
) -> None:
    """Volumetric work in a teaching laboratory: from burette readings to a result that can be defended."""


def _only_in_the_list() -> None:
    """Stand in the list of commands; never run, because the command asked for is always loaded."""


def _add(app: typer.Typer, name: str) -> None:
    command = importlib.import_module(f"halfdrop.cli.{name.replace('-', '_')}").command
    if isinstance(command, typer.Typer):
        app.add_typer(command, name=name)
    else:
        app.command(name)(command)


def _command_line_unclear(misunderstood: click.ClickException) -> int:
    context = getattr(misunderstood, "ctx", None)
    path = context.command_path if context else "halfdrop"
    what = misunderstood.format_message().replace("Invalid value for ", "", 1)
    shown.say([f"{path}: {what}", f"`{path} --help` lists what it accepts."], stream=sys.stderr)
    return CANNOT_BE_USED


def _cannot_be_written(error: OSError) -> int:
    reason = (error.strerror or str(error)).lower()
    if error.filename is None:
        shown.let_go(sys.stdout)
    message = (
        f"This cannot be read or written: {reason}. "
        "Look at the name, the space left and the permissions, then run the command again."
    )
    place = Place(file=str(error.filename or "standard output"))
    return shown.refusal([Finding("no-access", Severity.REFUSED, message, place)], as_json=False)


def _own_fault() -> int:
    import traceback

    shown.say([traceback.format_exc().rstrip(), FAULT_SENTENCE], stream=sys.stderr)
    return FAULT
