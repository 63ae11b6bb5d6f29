"""All keys of the screens, in one table.

For: the key line, the help page and the one place where a key becomes an action.
Must never: hold two meanings for a key, or a chord; every key is single and large (HI-02, HI-16).
"""

from __future__ import annotations

from ferrule.engine.light import dataclass


@dataclass(frozen=True, slots=True)
class Key:
    """One action with its function key, its letter, and what it does in words."""

    action: str
    function: str
    """The function key; works everywhere, also while something is typed."""
    letter: str
    """The letter; works where nothing is being typed."""
    short: str
    """The word in the key line."""
    words: str
    """The sentence on the help page."""

    @property
    def shown(self) -> str:
        """The function key as it stands on most keyboards."""
        return self.function.upper()[:3]


KEYS: tuple[Key, ...] = (
    Key("help", "f1", "?", "help", "Show every key and what it does."),
    Key("list", "f2", "l", "list", "Show the whole list of goals with their state."),
    Key("path", "f3", "p", "path", "Show the path so far; an entry can be struck out from there."),
    Key("remark", "f4", "r", "remark", "Add a remark; nothing changes by it."),
    Key("why", "f5", "y", "why", "Show why this step is there, what says so, and all that is recorded on safety."),
    Key("far", "f6", "f", "far", "Show the step in large letters, to be read from two metres; the same key goes back."),
    Key("report", "f7", "e", "report", "Report something that happened to the work."),
    Key("away", "f8", "a", "away", "Step away from the board, or be back at it."),
    Key("theme", "f9", "t", "light", "Change between day, night and mono."),
    Key("leave", "f10", "q", "leave", "Leave the program; the job can be taken up again."),
    Key(
        "more",
        "f11",
        "m",
        "more",
        "Hand over, amend the card, go on after a stop, say who acts, pass over a step that allows it.",
    ),
    Key("stop", "f12", "!", "STOP", "Stop work at once: from here only what makes the place ready to be left is open."),
)
"""Every command key; the stop key stands at the end of the row, away from all that goes on."""

PICTURE = Key("picture", "tab", "v", "picture", "Show or hide the picture of the step: ring, pairs, screws, device.")
POINT = Key("point", "insert", "o", "point", "Add a row to a round for a point that the card does not know.")
SIDE_KEYS = (PICTURE, POINT)
"""Keys that are named in the hint where they do something, and not in the key line."""

ANSWER_KEYS: tuple[tuple[str, str], ...] = (
    ("Enter", "takes a value, goes on, and records when all is filled"),
    ("Space", "done, where nothing is typed"),
    ("1 to 9", "choose what was seen, or a line of a list"),
    ("+", "the display was above its range"),
    ("-", "no indication: below the lowest step that it shows"),
    ("*", "this could not be reached"),
    ("/", "the reading would not settle"),
    ("Up, Down", "go back to a value, or on to the next"),
    ("PageUp, PageDown", "read what does not fit"),
    ("Esc", "back to the step; what was typed there stays"),
    ("a digit shown", "confirms an act that cannot be taken back; Enter does not"),
)
"""The keys that answer; all of them are on a number pad."""

LEAVE_KEYS = ("ctrl+c", "ctrl+q")
"""Keys that a terminal sends for an interruption; the log is whole at any time."""

BY_FUNCTION = {key.function: key.action for key in (*KEYS, *SIDE_KEYS)}
BY_LETTER = {key.letter: key.action for key in (*KEYS, *SIDE_KEYS)}

_NOT_IN_A_NARROW_LINE = ("far", "theme")
_IN_A_SMALL_LINE = ("help", "why", "leave", "more", "stop")


def key_line(width: int) -> str:
    """Return the key line that fits a width; the help page names the keys that are left out."""
    spelled = " ".join(f"{key.function.upper()} {key.short}" for key in KEYS)
    if len(spelled) <= width:
        return spelled
    keys = [k for k in KEYS if k.action not in _NOT_IN_A_NARROW_LINE]
    narrow = " ".join(f"{k.function.upper() if k is keys[0] else k.function[1:]} {k.short}" for k in keys)
    if len(narrow) <= width:
        return narrow
    return " ".join(f"{k.function.upper()} {k.short}" for k in KEYS if k.action in _IN_A_SMALL_LINE)


JOBS_HELP: tuple[tuple[str, str], ...] = (
    ("Up, Down", "mark another line; PageUp, PageDown, Home, End go further"),
    ("1 to 9", "mark a line of a short list"),
    ("Enter", "opens what is marked, takes a field, goes back from a page"),
    ("Esc", "goes back; from the first list it leaves; what was typed in a form stays"),
    ("F1", "this help"),
    ("F9", "changes between day, night and mono"),
    ("F10", "leaves"),
)
"""What answers on the first screen."""

REPLAY_HELP: tuple[tuple[str, str], ...] = (
    ("Right, Enter", "the next entry"),
    ("Left", "the entry before"),
    ("PageDown", "ten entries on; PageUp ten back"),
    ("Home, End", "the first and the last"),
    ("d", "the next entry that is decided otherwise today than it was recorded"),
    ("Up, Down", "read on within the entry"),
    ("F1", "this help"),
    ("F9", "changes between day, night and mono"),
    ("F10", "leaves; nothing was changed"),
)
"""What answers while a log is walked again."""
