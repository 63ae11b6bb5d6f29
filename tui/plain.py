"""The walk line by line, on standard input and output: for screen readers, serial consoles and scripts.

Rules
1. It decides nothing: a line becomes a command, and the walk takes it or says why not.
2. What the walk says goes to stdout, what was not taken goes to stderr; both pass through `shown`.
3. In a script each answer names its step; a line for another step is not taken, and reading goes on.
4. When the input ends, nothing is lost: each command that was taken is in the log, and the job can be taken up again.
The grammar of the lines stands in `plain_grammar`.
"""

from __future__ import annotations

from collections.abc import Callable
from pathlib import Path
from typing import TextIO

from ferrule.engine.shell.logfile import StoreError
from ferrule.engine.shell.session import WORK, Session, SessionError, Taken
from ferrule.engine.walk import commands as c
from ferrule.engine.walk import events as e
from ferrule.engine.walk.access import Refusal
from ferrule.engine.walk.advice import advice
from ferrule.engine.walk.cell_view import CellView
from ferrule.engine.walk.situation import Situation, whole_list
from ferrule.tui import words
from ferrule.tui.head_page import page_lines
from ferrule.tui.plain_grammar import grammar_text, parse_line
from ferrule.tui.plain_line import Around, Fill, Give, LineError, Local
from ferrule.tui.plain_show import ask_lines, prompt_words, situation_lines, why_lines
from ferrule.tui.signs import shown

CLEAN, LINES_REFUSED = 0, 1
"""Exit codes: every line was taken (or a person typed); some lines of a script were not taken."""


class PlainWalk:
    """One job walked line by line."""

    def __init__(self, session: Session, person: str, streams: tuple[TextIO, TextIO, TextIO], *, script: bool) -> None:
        self._session = session
        self._person = person
        self._in, self._out, self._err = streams
        self._script = script
        self._draft: dict[tuple[str, str], c.CellAnswer] = {}
        self._refused = 0
        self._left = False
        self._broken: StoreError | None = None
        """The save that failed last in a script, until its log goes on elsewhere."""

    def run(self) -> int:
        """Walk until the log is closed, the person leaves or the input ends; return the exit code."""
        self._say(f"Log: {self._session.path.name}")
        if self._session.resumed:
            self._say(self._session.resumed)
        self._say(*self._session.notes)
        self._show()
        while not self._left and not self._session.state.outcome:
            line = self._next_line()
            if self._broken is not None and not line.casefold().startswith("go on in "):
                raise self._broken
            if not line:
                break
            self._take(line.rstrip("\r\n"))
        self._end()
        return LINES_REFUSED if self._script and self._refused else CLEAN

    # --- reading ---

    def _next_line(self) -> str:
        if not self._script:
            places = self._open_places()
            self._out.write(shown(prompt_words(places[0])) if places else "> ")
            self._out.flush()
        return self._in.readline()

    def _open_places(self, situation: Situation | None = None) -> tuple[CellView, ...]:
        found = situation or self._session.situation()
        if found.step is None or "answer" not in found.may or found.step.must_start:
            return ()
        cells = (cell for cell in found.step.cells if cell.kind != "computed")
        return tuple(cell for cell in cells if (cell.point, cell.cell) not in self._draft)

    def _take(self, line: str) -> None:
        session = self._session
        situation = session.situation()
        around = Around(situation, self._person, session.stamp(), self._script, self._open_places(situation))
        try:
            parsed = parse_line(line, around)
        except LineError as error:
            self._refuse(line, str(error))
            return
        if isinstance(parsed, Give):
            self._give(parsed.command, line)
        elif isinstance(parsed, Fill):
            self._fill(parsed, situation, line)
        elif isinstance(parsed, Local):
            self._local(parsed, line)

    def _fill(self, fill: Fill, situation: Situation, line: str) -> None:
        """Keep what was typed for places of the step; once all are filled, the answer goes to the walk."""
        step = situation.step
        assert step is not None
        for answer in fill.answers:
            key = (answer.point, answer.cell)
            before = self._draft.get(key)
            if before is not None and before.entered != answer.entered:
                self._say(f"{' '.join(key).strip()} was “{before.entered}” and is now “{answer.entered}”.")
            self._draft[key] = answer
        wanted = [(cell.point, cell.cell) for cell in step.cells if cell.kind != "computed"]
        filled = sum(key in self._draft for key in wanted)
        if filled < len(wanted):
            self._say(f"{filled} of {len(wanted)} places filled.")
            return
        cells = tuple(self._draft[key] for key in wanted)
        kept = self._give(c.Answer(self._person, self._session.stamp(), step.where, cells), line)
        if not kept:
            for answer in fill.answers:
                self._draft.pop((answer.point, answer.cell), None)

    # --- giving ---

    def _give(self, command: c.Command, line: str) -> bool:
        """Submit a command and say what came of it; return whether anything was kept."""
        where = self._session.state.step
        try:
            taken = self._session.submit(command)
        except StoreError as error:
            self._disk_refused(error, line)
            return False
        moved = any(isinstance(event, e.Moved) for event in taken.events)
        if taken.refusal is not None and not moved:
            self._not_taken(taken.refusal, command, line)
            if not taken.events:
                return False
            if taken.refusal.doubts:
                self._held(taken.refusal)
                return True
        self._tell(taken, moved)
        if moved or self._session.state.step != where or isinstance(command, c.Answer):
            self._draft.clear()
        if isinstance(command, c.StampRound) and not moved:
            self._ask()
        elif not isinstance(command, c.Remark):
            self._show()
        return True

    def _not_taken(self, refusal: Refusal, command: c.Command, line: str) -> None:
        entered = ""
        if isinstance(command, c.Answer):
            key = (refusal.point, refusal.cell)
            entered = next((a.entered for a in command.cells if (a.point, a.cell) == key), "")
            self._draft.pop(key, None)
        lines = words.refusal_lines(refusal, entered)
        where = " ".join(name for name in (refusal.point, refusal.cell) if name)
        tell = self._complain if refusal.doubts else self._refuse
        tell(line, *(lines if not where else (f"At {where}.", *lines)))

    def _held(self, refusal: Refusal) -> None:
        """Leave only the places open whose values are held; the others stand as typed."""
        for cell in refusal.doubts:
            self._draft.pop((cell.point, cell.cell), None)
        held = (
            "One value is held; type it"
            if len(refusal.doubts) == 1
            else f"{len(refusal.doubts)} values are held; type each"
        )
        self._say(f"{held} again with “confirmed” after it. What else was typed stands.")
        self._ask()

    def _tell(self, taken: Taken, moved: bool) -> None:
        """Say what a command led to; where the walk stands now is shown with the situation.

        A refusal that leads elsewhere, such as a proof that has grown too old, belongs to the walk and is said here.
        """
        job = self._session.job
        for event in taken.events:
            if isinstance(event, e.Refused) and not moved:
                continue
            if not isinstance(event, e.Moved | e.ResultRested):
                self._say(*words.event_lines(event, job))
        if taken.entry:
            self._say(f"Saved as entry {taken.entry}.")
        self._say(*taken.notes)

    def _disk_refused(self, error: StoreError, line: str) -> None:
        """Say that a save failed; only a folder on another medium, or a person at the keys, lets the walk go on."""
        session = self._session
        if session.state.outcome or not session.save_failed:
            raise error
        self._refuse(line, str(error), "To go on with the log on another medium: go on in FOLDER.")
        self._broken = error if self._script else None

    def _go_on_in(self, folder: str, line: str) -> None:
        try:
            told = self._session.go_on_in(Path(folder).expanduser())
        except StoreError as error:
            self._refuse(line, str(error))
            return
        self._broken = None
        self._say(told)

    def _give_up(self, reason: str, line: str) -> None:
        try:
            self._say(*self._session.give_up(self._person, reason))
        except SessionError as error:
            self._refuse(line, str(error))

    def _refuse(self, line: str, *lines: str) -> None:
        self._refused += 1
        self._complain(line, *lines)

    def _complain(self, line: str, *lines: str) -> None:
        self._err.write(f"{shown(line)}\n" if self._script else "")
        for text in lines:
            self._err.write(f"  {shown(text)}\n")
        self._err.flush()

    # --- what only the reader does ---

    def _local(self, asked: Local, line: str) -> None:
        if asked.word == "by":
            self._act_as(asked.argument, line)
            return
        actions: dict[str, Callable[[], None]] = {
            "look": self._show,
            "list": self._list,
            "path": self._path,
            "causes": lambda: self._say(*words.cause_lines(advice(self._session.job, self._session.state))),
            "why": lambda: self._say(*why_lines(self._session.situation().step)),
            "help": lambda: self._say(*grammar_text().split("\n")),
            "log code": lambda: self._say(*page_lines(self._session.head_now(), light_screen=False)),
            "give up": lambda: self._give_up(asked.argument, line),
            "go on in": lambda: self._go_on_in(asked.argument, line),
            "clear": self._clear,
            "leave": self._leave,
        }
        actions[asked.word]()

    def _act_as(self, person: str, line: str) -> None:
        named = {p.id: p.name for p in self._session.job.card.people}
        if person not in named:
            self._refuse(line, f"“{person}” is not named on the card. Named are: {', '.join(named)}.")
            return
        self._person = person
        self._say(f"From here on {named[person]} acts.")

    def _list(self) -> None:
        for number, (title, state, reason) in enumerate(whole_list(self._session.job, self._session.state), 1):
            self._say(f"{number}. {title}: {state}{f', {reason}' if reason else ''}")

    def _path(self) -> None:
        rows = self._session.rows()
        for row in rows:
            sentence = f" {row.sentence}" if row.sentence else ""
            by = words.person_name(self._session.job, row.person)
            self._say(f"{row.entry}. {row.wall}, {by}: {row.text} {words.outcome_words(row.word)}.{sentence}")
        if not rows:
            self._say("Nothing was done yet.")

    def _clear(self) -> None:
        self._say(f"{len(self._draft)} places emptied.")
        self._draft.clear()

    def _leave(self) -> None:
        self._left = True

    # --- writing ---

    def _show(self) -> None:
        session = self._session
        self._say(*situation_lines(session.situation(), session.job, session.mode, session.now_ms()))

    def _ask(self) -> None:
        situation = self._session.situation()
        if situation.step is not None:
            self._say(*ask_lines(situation.step, situation))

    def _end(self) -> None:
        state = self._session.state
        if state.outcome:
            self._say(f"The log is closed: {state.outcome}.")
            if not self._script and self._session.mode == WORK:
                self._say(*page_lines(self._session.head_now(), light_screen=False))
            return
        open_cells = f" {len(self._draft)} places that were filled were not recorded." if self._draft else ""
        self._say("", f"The job stays open and can be taken up again with its log {self._session.path}.{open_cells}")

    def _say(self, *lines: str) -> None:
        for line in lines:
            self._out.write(f"{shown(line)}\n")
        self._out.flush()


def run_plain(session: Session, person: str, stdin: TextIO, stdout: TextIO, stderr: TextIO) -> int:
    """Walk a job line by line; a terminal as input may leave the names of steps out."""
    walk = PlainWalk(session, person, (stdin, stdout, stderr), script=not stdin.isatty())
    return walk.run()
