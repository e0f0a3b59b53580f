"""The app, its exit status, and errors as one line each on standard error.

0 done and no check fails; 1 done, a check fails; 2 the input is wrong or cannot be used;
130 interrupted.

The commands' modules do without the future import of annotations: left as text, the parser would evaluate
them again and again, a third of the time of --help.
"""

from __future__ import annotations

import sys
from collections.abc import Sequence

import typer

from shapes.cli.areas import areas
from shapes.cli.check import check
from shapes.cli.estimate import estimate
from shapes.cli.export import export
from shapes.cli.generate import generate
from shapes.cli.listing import list_
from shapes.cli.offer import offer
from shapes.cli.place import place
from shapes.cli.prepare import plan, prepare
from shapes.cli.repair import repair
from shapes.cli.vary import vary
from shapes.errors import CannotMeetError, InputError

app = typer.Typer(
    no_args_is_help=True,
    add_completion=False,
    pretty_exceptions_enable=False,
    help="Serving boards of free shape: drawn from a brief, checked, weighed, ready for the router.",
)
app.command()(generate)
app.command()(check)
app.command()(repair)
app.command()(export)
app.command()(estimate)
app.command()(place)
app.command()(areas)
app.command()(plan)
app.command()(prepare)
app.command()(offer)
app.command()(vary)
app.command("list")(list_)

FAILS, WRONG, INTERRUPTED = 1, 2, 130


def run(arguments: Sequence[str] | None = None) -> int:
    """Run the command and return its exit status; never a traceback for wrong input."""
    try:
        status = app(args=arguments, standalone_mode=False)
    except (InputError, CannotMeetError) as error:
        return _say(str(error))
    except (KeyboardInterrupt, typer.Abort):
        status = INTERRUPTED
    except typer.Exit as leave:
        status = int(leave.exit_code)
    except MemoryError:
        return _say("the memory does not suffice: ask for a smaller --pool")
    except Exception as error:
        if not hasattr(error, "format_message"):  # the parser's own: an unknown option and so on
            raise
        text = str(error.format_message()).strip()
        return _say(f"{text} See: shapes --help" if text else "")
    if status == INTERRUPTED:
        print("interrupted; nothing was written", file=sys.stderr)
    return status if isinstance(status, int) else 0


def _say(text: str) -> int:
    if text:
        print(text, file=sys.stderr)
    return WRONG


def main() -> None:
    """Entry point of the command."""
    sys.exit(run())
