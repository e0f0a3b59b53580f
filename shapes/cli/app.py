"""The app, its exit status, and errors as one line each on standard error.

0 done and no check fails; 1 done, a check fails; 2 the input is wrong or cannot be used;
130 interrupted, 143 stopped by the system.

Only the module of the command that is asked for is imported: --help reads the table alone. The
commands' modules do without the future import of annotations: left as text, the parser would
evaluate them again and again.
"""

from __future__ import annotations

import signal
import sys
from collections.abc import Sequence
from contextlib import ExitStack
from importlib import import_module
from typing import Any

import typer
from typer import core
from typer import main as parser

from shapes.errors import CannotMeetError, InputError, RefusedError, did_you_mean

COMMANDS = {
    "generate": "Draw boards from a brief, check them, choose a collection, and write its folder.",
    "check": "Check boards and say, for each question a maker asks, what was found.",
    "repair": (
        "Mend what keeps a drawing from being cut; only the stretches that fail are drawn anew."
    ),
    "export": (
        "Write the files of chosen boards, read back and checked before they take their names."
    ),
    "estimate": (
        "Say what each board needs of timber and oil, what it weighs and what the timber costs."
    ),
    "place": (
        "Put boards on off-cuts: where each lies, what limits it, and the files to cut it there."
    ),
    "areas": "Find the largest areas of a stated ratio, clear of edge, openings and handle.",
    "plan": "Say how each board is cut: skims, passes, feeds, tabs, lengths, times and tear-out.",
    "prepare": (
        "Write everything after the shape is chosen: machine files, template, worksheet, prices,"
        " cards."
    ),
    "offer": (
        "Write an offer: pictures, sizes, timber, weight, price and care; the customer marks and"
        " answers."
    ),
    "open": (
        "Open the page at the bench: choose and shape boards by eye, lay them on a piece, write"
        " what the machines need."
    ),
    "vary": "Draw relatives of one board: the same form and handle, moved a little.",
    "list": (
        "List the forms, handles, species, presets, checks, preset off-cuts, fonts or settings that"
        " there are."
    ),
}
"""What each command does, in one line; a test holds them against the commands' own words."""
MODULES = {"list": ("listing", "list_"), "open": ("open", "open_"), "plan": ("prepare", "plan")}
"""Module and function of the commands that are not called as their file is."""


class Commands(core.TyperGroup):
    """The commands, each read when it is run."""

    def list_commands(self, ctx: object) -> list[str]:
        """Return the names, in the order of the work."""
        return list(COMMANDS)

    def get_command(self, ctx: object, cmd_name: str) -> core.TyperCommand | None:
        """Return what --help needs of a command, or nothing where there is none of that name."""
        says = COMMANDS.get(cmd_name)
        return None if says is None else core.TyperCommand(cmd_name, help=says)

    def resolve_command(self, ctx: Any, args: list[str]) -> tuple[str | None, Any, list[str]]:
        """Return name, command and the remaining arguments of what is to run."""
        name, _, rest = super().resolve_command(ctx, args)
        return name, whole_command(str(name)), rest


def whole_command(name: str) -> core.TyperCommand:
    """Return a command with all its options."""
    module, function = MODULES.get(name, (name, name))
    alone = typer.Typer(add_completion=False, pretty_exceptions_enable=False)
    alone.command(name)(getattr(import_module(f"shapes.cli.{module}"), function))
    return parser.get_command(alone)  # type: ignore[return-value]


app = typer.Typer(
    cls=Commands,
    no_args_is_help=True,
    add_completion=False,
    pretty_exceptions_enable=False,
    help=(
        "Serving boards of free shape: drawn from a brief, checked, weighed, ready for the router."
    ),
)


@app.callback()
def _shapes() -> None:
    """Make the app one of many commands."""


FAILS, WRONG, INTERRUPTED, STOPPED = 1, 2, 130, 143
resources = ExitStack()  # what a command holds until it ends


class StoppedError(KeyboardInterrupt):
    """The system asks the process to end."""


def run(arguments: Sequence[str] | None = None) -> int:
    """Run the command and return its exit status; never a traceback for wrong input."""
    from shapes.files import safe

    safe.written.clear()
    try:
        with resources:
            status = app(args=arguments, standalone_mode=False)
    except RefusedError as error:
        _say("\n".join([*dict.fromkeys(str(error).split("\n")), "nothing was written"]))
        return FAILS
    except (InputError, CannotMeetError) as error:
        return _say(str(error))
    except StoppedError:
        return _cut_off("stopped", STOPPED)
    except (KeyboardInterrupt, typer.Abort):
        status = INTERRUPTED
    except typer.Exit as leave:
        status = int(leave.exit_code)
    except MemoryError:
        return _say("the memory does not suffice: close other programs, or ask for less at once")
    except Exception as error:
        from concurrent.futures import BrokenExecutor

        if isinstance(error, BrokenExecutor):
            return _say(
                "one of its processes was killed, as when the memory runs out: say --jobs 1, or ask"
                " for less at once"
            )
        if not hasattr(error, "format_message"):  # the parser's own: an unknown option and so on
            raise
        text = str(error.format_message()).strip().replace("Value error, ", "")
        if "No such command" in text:
            asked = text.split("'")[1]
            text = f"{text.rstrip('.')}: {did_you_mean(asked, COMMANDS, '')}".removesuffix(": ")
        return _say(f"{text} See: shapes --help" if text else "")
    finally:
        for text in safe.left_behind:
            print(text, file=sys.stderr)
        safe.left_behind.clear()
    if status == INTERRUPTED:
        return _cut_off("interrupted", INTERRUPTED)
    return status if isinstance(status, int) else 0


def _cut_off(how: str, status: int) -> int:
    """Say what a command that was cut off has written: whole files and folders, or nothing."""
    from shapes.files.safe import written

    says = f"written whole: {', '.join(map(str, written))}" if written else "nothing was written"
    print(f"{how}; {says}", file=sys.stderr)
    return status


def _say(text: str) -> int:
    if text:
        print(text, file=sys.stderr)
    return WRONG


def main() -> None:
    """Entry point of the command."""
    import warnings

    signal.signal(signal.SIGTERM, _stop)
    warnings.simplefilter("ignore")  # of libraries: what matters is said in our own lines
    sys.exit(run())


def _stop(*_: object) -> None:
    raise StoppedError
