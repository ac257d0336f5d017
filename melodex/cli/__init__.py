"""The command line: parse, call, print."""

import inspect
import io
import os
import sys
from collections.abc import Callable, Mapping
from types import MappingProxyType
from typing import NoReturn

import typer

from melodex.cli.commands.add_command import add
from melodex.cli.commands.arrange_command import arrange
from melodex.cli.commands.audit_command import audit
from melodex.cli.commands.backup_command import backup, check
from melodex.cli.commands.correct_command import correct
from melodex.cli.commands.demo_command import demo
from melodex.cli.commands.describe_command import describe
from melodex.cli.commands.find_command import find
from melodex.cli.commands.keep_command import forget, keep, kept, rename
from melodex.cli.commands.known_command import known
from melodex.cli.commands.lessons_command import lessons
from melodex.cli.commands.licks_command import licks
from melodex.cli.commands.near_command import near
from melodex.cli.commands.next_command import next_song
from melodex.cli.commands.place_command import place
from melodex.cli.commands.remove_command import remove
from melodex.cli.commands.report_command import report
from melodex.cli.commands.serve_command import serve
from melodex.cli.commands.shared_command import shared
from melodex.cli.commands.songs_command import songs
from melodex.cli.commands.tab_command import tab
from melodex.cli.commands.taught_command import due, taught
from melodex.cli.help_text import help_text
from melodex.cli.program import PROGRAM_EXAMPLES, program
from melodex.cli.terminal import notice
from melodex.errors import MelodexError

INTERRUPTED, CUT_OFF = 130, 141  # 128 + SIGINT and 128 + SIGPIPE, as shells report them
_STDOUT = 1  # its file descriptor, by POSIX

COMMANDS: Mapping[str, Mapping[str, Callable[..., None]]] = MappingProxyType(
    {
        "Songs": {
            "demo": demo, "add": add, "describe": describe, "correct": correct, "songs": songs,
            "remove": remove,
        },
        "Melodies and licks": {
            "find": find, "near": near, "shared": shared,
            "licks": licks, "keep": keep, "kept": kept, "rename": rename, "forget": forget,
        },
        "Teaching and learning": {
            "lessons": lessons, "known": known, "next": next_song, "audit": audit,
            "taught": taught, "due": due,
        },
        "Playing": {"tab": tab, "arrange": arrange, "place": place},
        "Sharing": {"report": report, "serve": serve},
        "Safety": {"backup": backup, "check": check},
    }
)  # fmt: skip
"""The commands by the panels of the help."""

app = typer.Typer(
    name="melodex",
    epilog=PROGRAM_EXAMPLES,
    no_args_is_help=True,
    pretty_exceptions_enable=False,
    rich_markup_mode="rich",
)
app.callback()(program)
for panel, commands in COMMANDS.items():
    for name, command in commands.items():
        text = help_text(inspect.getdoc(command) or "")
        app.command(name, help=text.prose, epilog=text.examples, rich_help_panel=panel)(command)


def main() -> NoReturn:
    """Run the command line; a problem with data becomes two lines and an exit code."""
    for stream in (sys.stdout, sys.stderr):
        if isinstance(stream, io.TextIOWrapper):  # a file's name may hold what no text can
            stream.reconfigure(errors="backslashreplace")
    try:
        app()
    except MelodexError as error:
        notice(error.problem, f"Next: {error.next_step}")
        sys.exit(error.exit_code)
    except SystemExit as ended:
        sys.exit(_exit_code(ended))
    sys.exit(0)


def _exit_code(ended: SystemExit) -> int | str | None:
    """Return the exit code of a run that Typer ended; it hides what ended it."""
    try:
        sys.stdout.flush()
    except BrokenPipeError as error:
        ended.__context__ = error
    if isinstance(ended.__context__, BrokenPipeError):  # a reader, such as `head`, has seen enough
        os.dup2(os.open(os.devnull, os.O_WRONLY), _STDOUT)
        return CUT_OFF
    if ended.code == INTERRUPTED:
        notice("Stopped; what was finished is kept.")
    return ended.code
