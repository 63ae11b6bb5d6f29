"""The command line: what was asked for, with what exit code it ends, and never a traceback.

Rules
1. Each command imports what it needs itself, so that the walk starts without what others load.
2. Exit codes: 0 to 3 are a command's own result; 64 wrong use, 66 unreadable input, 70 a fault of ferrule,
   73 cannot write, 130 interrupted (numbers above 63: BSD sysexits, from memory; 130: the shell's 128 + 2).
3. stdout is the result, stderr the narration.
"""

from __future__ import annotations

import argparse
import gc
import os
import sys
from collections.abc import Callable, Sequence
from pathlib import Path
from typing import TYPE_CHECKING, Any, NoReturn, TextIO

from ferrule.engine.findings import BadFile, FerruleError
from ferrule.engine.text import visible
from ferrule.engine.version import VERSION
from ferrule.tui.around import Around, UsageError

if TYPE_CHECKING:
    from ferrule.engine.shell.calls import FileCalls
    from ferrule.engine.shell.clock import Clock
    from ferrule.engine.shell.folders import Folders

WRONG_USE, UNREADABLE, FAULT, CANNOT_WRITE, INTERRUPTED = 64, 66, 70, 73, 130


def main(
    argv: Sequence[str] | None = None,
    *,
    clock: Clock | None = None,
    calls: FileCalls | None = None,
    stdin: TextIO | None = None,
    stdout: TextIO | None = None,
    stderr: TextIO | None = None,
) -> int:
    """Run one command and return its exit code; clock, calls and streams can be replaced by tests."""
    if argv is None:
        gc.disable()
        _write_anything(sys.stdout, sys.stderr)
    around = Around(stdin or sys.stdin, stdout or sys.stdout, stderr or sys.stderr, clock, calls)
    home: list[str] = []
    try:
        args = _parser(argv).parse_args(argv)
        home.append(args.home or "")
        run: Callable[[argparse.Namespace, Around], int] = args.run
        return run(args, around)
    except _HelpShownError as shown:
        around.stdout.write(str(shown))
        return 0
    except UsageError as error:
        return _said(around, str(error), WRONG_USE)
    except FerruleError as error:
        return _told(around, error)
    except KeyboardInterrupt:
        return _said(around, "Interrupted. What was confirmed is in the log.", INTERRUPTED)
    except BrokenPipeError:
        return _no_reader()
    except OSError as error:
        return _said(around, f"The system does not permit this: {error.strerror or error}.", CANNOT_WRITE)
    except Exception as error:  # noqa: BLE001 - the last line of defence: a person gets a sentence, not a traceback
        return _unforeseen(around, error, home[0] if home else "")


def _write_anything(*streams: TextIO) -> None:
    """Let a terminal that lacks a character show its number instead of ending the program."""
    for stream in streams:
        reconfigure = getattr(stream, "reconfigure", None)
        if reconfigure is not None:
            reconfigure(errors="backslashreplace")


def _said(around: Around, sentence: str, code: int) -> int:
    around.stderr.write(f"ferrule: {visible(sentence, keep_lf=True)}\n")
    return code


def _told(around: Around, error: FerruleError) -> int:
    """Say what a command could not do, and return the exit code that fits."""
    if not isinstance(error, BadFile):
        return _said(around, str(error), _code_of(error))
    from ferrule.engine.findings import render

    return _said(around, f"The job cannot be used.\n{render(error.findings, {})}", UNREADABLE)


def _code_of(error: FerruleError) -> int:
    from ferrule.engine.shell.folders import FoldersError
    from ferrule.engine.shell.session import SessionError
    from ferrule.engine.shell.store import LogClosed, NeverOpened, StoreError

    if isinstance(error, SessionError | LogClosed):
        return WRONG_USE
    writing = isinstance(error, StoreError | FoldersError) and not isinstance(error, NeverOpened)
    return CANNOT_WRITE if writing else UNREADABLE


def _no_reader() -> int:
    """The reader of the output has gone: nothing can be said any more, so end in silence."""
    if sys.stdout is not None:
        os.dup2(os.open(os.devnull, os.O_WRONLY), 1)
    return CANNOT_WRITE


def _unforeseen(around: Around, error: Exception, home: str) -> int:
    import traceback

    kept = "Its details could not be written to a file."
    try:
        folder = _folders(home).cache
        folder.mkdir(parents=True, exist_ok=True)
        path = folder / "last-fault.txt"
        path.write_text("".join(traceback.format_exception(error)), encoding="utf-8", errors="backslashreplace")
        kept = f"Its details are in {path}."
    except (OSError, FerruleError):
        pass
    return _said(
        around,
        f"A fault of ferrule itself ended this ({type(error).__name__}). What was confirmed is in the log. {kept} "
        "Please report it, with that file, to the people who gave you ferrule.",
        FAULT,
    )


def _folders(home: str, second: str = "") -> Folders:
    from ferrule.engine.shell.folders import find_folders

    return find_folders(Path(home) if home else None, second=Path(second) if second else None)


# --- what can be asked for ---


class _HelpShownError(Exception):
    """Help was asked for; carries its text."""


class _Parser(argparse.ArgumentParser):
    """Argparse that raises instead of ending the process, so that a test can run the command line in process."""

    def error(self, message: str) -> NoReturn:
        raise UsageError(f"{message}. `{self.prog} --help` shows what can be asked for.")

    def print_help(self, _file: object = None) -> None:
        raise _HelpShownError(self.format_help())


class _Version(argparse.Action):
    def __call__(self, *_: object) -> NoReturn:
        raise _HelpShownError(f"ferrule {VERSION}\n")


def _walk(args: argparse.Namespace, around: Around) -> int:
    from ferrule.tui.walk_command import run_walk_command

    return run_walk_command(args, around, _folders(args.home, args.second_medium))


def _replay(args: argparse.Namespace, around: Around) -> int:
    from ferrule.tui.walk_command import run_replay_command

    return run_replay_command(args, around, _folders(args.home))


def _collect(args: argparse.Namespace, around: Around) -> int:
    from ferrule.tui.collect_command import run_collect

    return run_collect(args, around)


def _check(args: argparse.Namespace, around: Around) -> int:
    from ferrule.engine.shell.clock import SystemClock
    from ferrule.engine.shell.sets import packaged_set
    from ferrule.tui.check_files import run_check
    from ferrule.tui.walk_command import own_set

    today = (around.clock or SystemClock()).date()
    form = "sarif" if args.sarif else "json" if args.json else "text"
    return run_check(
        args.files,
        today=today,
        form=form,
        strict=args.strict,
        folders=_folders(args.home),
        base=own_set(args.set) or packaged_set(),
        out=around.stdout,
        err=around.stderr,
    )


def _figure(args: argparse.Namespace, around: Around) -> int:
    from ferrule.tui.figure_command import run_figure

    return run_figure(args.name, args.keys, as_json_text=args.json, out=around.stdout)


def _expect(args: argparse.Namespace, around: Around) -> int:
    from ferrule.tui.expect_command import run_expect

    return run_expect(args.job, _folders(args.home), as_json_text=args.json, out=around.stdout)


def _parser(argv: Sequence[str] | None) -> argparse.ArgumentParser:
    """Return what reads the arguments; where a command is named, no other is set up, which a start would wait for."""
    parser = _Parser(
        prog="ferrule",
        description="Walks the fitting of a residual-current breaker step by step and keeps a log that replays.",
    )
    parser.add_argument("--version", action=_Version, nargs=0, help="show the version")
    commands = parser.add_subparsers(title="commands", metavar="COMMAND", required=True, parser_class=_Parser)
    first = next(iter(sys.argv[1:] if argv is None else argv), "")
    for name, add in _COMMANDS.items():
        if first in (name, "") or first not in _COMMANDS:
            add(commands)
    return parser


_Commands = Any
"""The subparsers of the standard library, whose class has no public name."""


def _add_walk(commands: _Commands) -> None:
    walk = commands.add_parser(
        "walk",
        help="start a job, or take one up again",
        description="Starts a job from its card, or takes up the job of a log again.",
        formatter_class=_WalkHelp,
    )
    walk.add_argument("job", nargs="?", metavar="JOB", help="a card file, an example card by its name, or a log")
    walk.add_argument("--practice", action="store_true", help="practise: the log is marked so and never counts as work")
    walk.add_argument("--person", metavar="ID", help="who acts, by the id on the card")
    _add_set(walk)
    walk.add_argument("--replaces", metavar="JOB", help="the id of the job whose record this one replaces")
    walk.add_argument(
        "--second-medium", metavar="DIR", default="", help="a folder on another disk, to which heads of the log go"
    )
    _common(walk, _walk, plain="line by line on standard input and output, without a screen")


def _add_replay(commands: _Commands) -> None:
    replay = commands.add_parser("replay", help="walk a log again, read-only, and decide everything afresh")
    replay.add_argument("log", metavar="LOG", help="the log of a job")
    _common(replay, _replay, plain="as text, without a screen")


def _add_check(commands: _Commands) -> None:
    check = commands.add_parser(
        "check",
        help="find faults in cards, plans, procedures, limits and glossaries",
        description="Finds faults in the files of a set, and places where their texts can be read two ways. "
        "Ends with 0 without an error, 1 with one, 66 when a file cannot be read.",
    )
    check.add_argument(
        "files", nargs="*", metavar="FILE", help="files to check; a card alone goes with the packaged set"
    )
    forms = check.add_mutually_exclusive_group()
    forms.add_argument("--json", action="store_true", help="the findings as JSON")
    forms.add_argument("--sarif", action="store_true", help="the findings as SARIF 2.1.0, for editors and services")
    check.add_argument("--strict", action="store_true", help="end with 1 for warnings and notes too")
    check.add_argument("--home", metavar="DIR", default="", help="the folder for logs and cache")
    _add_set(check)
    check.set_defaults(run=_check)


def _add_collect(commands: _Commands) -> None:
    collect = commands.add_parser("collect", help="copy closed logs to another place, overwriting nothing")
    collect.add_argument("source", metavar="FROM", help="the folder of logs")
    collect.add_argument("target", metavar="TO", help="a folder, or the address of a storage")
    collect.add_argument("--json", action="store_true", help="what was copied as JSON")
    collect.set_defaults(run=_collect, home="")


def _add_procedures(commands: _Commands) -> None:
    from ferrule.tui.procedures_command import add_procedures

    add_procedures(commands, _folders)


def _add_expect(commands: _Commands) -> None:
    expect = commands.add_parser("expect", help="the expected readings and limits of a job")
    expect.add_argument("job", metavar="JOB", help="a card file, an example card by its name, or a log")
    expect.add_argument("--json", action="store_true", help="the sheet as JSON")
    expect.add_argument("--home", metavar="DIR", default="", help="the folder for logs and cache")
    expect.set_defaults(run=_expect)


def _add_figure(commands: _Commands) -> None:
    figure = commands.add_parser("figure", help="work out one figure, with its formula and its source")
    figure.add_argument(
        "name", nargs="?", metavar="NAME", help="the figure; without it, the list of them with their keys"
    )
    figure.add_argument("keys", nargs=argparse.REMAINDER, metavar="key=value", help="what it is worked out from")
    figure.add_argument("--json", action="store_true", help="the figure as JSON")
    figure.set_defaults(run=_figure, home="")


def _add_keys(commands: _Commands) -> None:
    from ferrule.tui.record_arguments import add_keys

    add_keys(commands, _folders)


def _add_roster(commands: _Commands) -> None:
    from ferrule.tui.record_arguments import add_roster

    add_roster(commands, _folders)


def _add_sign(commands: _Commands) -> None:
    from ferrule.tui.record_arguments import add_sign

    add_sign(commands, _folders)


def _add_verify(commands: _Commands) -> None:
    from ferrule.tui.record_arguments import add_verify

    add_verify(commands, _folders)


_COMMANDS: dict[str, Callable[[_Commands], None]] = {
    "walk": _add_walk,
    "replay": _add_replay,
    "check": _add_check,
    "procedures": _add_procedures,
    "expect": _add_expect,
    "figure": _add_figure,
    "keys": _add_keys,
    "roster": _add_roster,
    "sign": _add_sign,
    "verify": _add_verify,
    "collect": _add_collect,
}


def _add_set(parser: argparse.ArgumentParser) -> None:
    parser.add_argument("--set", metavar="DIR", default="", help="a folder with a set of one's own")


def _common(parser: argparse.ArgumentParser, run: Callable[[argparse.Namespace, Around], int], plain: str) -> None:
    parser.add_argument("--plain", action="store_true", help=plain)
    parser.add_argument("--home", metavar="DIR", default="", help="the folder for logs and cache")
    parser.set_defaults(run=run)


class _WalkHelp(argparse.HelpFormatter):
    """The help of `walk` ends with the grammar of typed lines."""

    def format_help(self) -> str:
        from ferrule.tui.plain_grammar import grammar_text

        return f"{super().format_help()}\nLines with --plain\n{grammar_text()}\n"


if __name__ == "__main__":
    sys.exit(main())
