"""What is wrong in a person's file, where it stands, and how it is shown.

For: one collector that turns "stop at the first fault" into "report all of them, sorted by place".
Must never: invent a place that is not known, or show a source text without making hidden characters visible.
"""

from __future__ import annotations

import re
from collections.abc import Iterable, Iterator, Mapping, Sequence
from enum import StrEnum

from ferrule.engine.light import dataclass
from ferrule.engine.text import caret_lines, visible


class FerruleError(Exception):
    """Base of all errors of ferrule; the message is a whole sentence for a person."""


class Level(StrEnum):
    """How much a finding weighs: an error stops, a warning is to be read, a note explains."""

    ERROR = "error"
    WARNING = "warning"
    NOTE = "note"


@dataclass(frozen=True, slots=True)
class Place:
    """A spot in a file, 1-based, with the path of keys that leads to it inside the document."""

    file: str
    line: int
    column: int
    path: str = ""

    def __str__(self) -> str:
        return f"{self.file}:{self.line}:{self.column}"

    def __lt__(self, other: Place) -> bool:
        return (self.file, self.line, self.column, self.path) < (other.file, other.line, other.column, other.path)


@dataclass(frozen=True, slots=True)
class Finding:
    """One fault: its code, its message, its place if known, and other places that belong to it."""

    code: str
    level: Level
    message: str
    place: Place | None = None
    hint: str = ""
    related: tuple[tuple[str, Place], ...] = ()
    walk: tuple[str, ...] = ()
    """How it comes about, line by line, where a check found a way that leads to it."""


CODES: dict[str, str] = {
    "yaml-syntax": "The file cannot be read as YAML.",
    "yaml-forbidden": "The file uses a part of YAML that is not allowed here, such as an anchor or a tag.",
    "too-large": "The file, or something in it, is larger than the bounds allow.",
    "text-policy": "A text holds a character that is hidden or has no fixed meaning.",
    "missing-key": "A key that must be there is missing.",
    "unknown-key": "A key is not one of those that may stand here.",
    "wrong-type": "A value is of another sort than the key wants.",
    "wrong-value": "A value is of the right sort but not one of those allowed.",
    "duplicate-key": "A key stands twice in one table.",
    "duplicate-id": "Two things carry the same id.",
    "bad-quantity": "A number with unit is not written in the one grammar for quantities.",
    "unit-mismatch": "A unit measures something else than what is wanted here.",
    "unknown-act": "A step names an act that is not in the table of acts.",
    "unknown-object": "A step names an object that the act does not know.",
    "unknown-fact": "A text names a fact that is not in the table of facts.",
    "unknown-figure": "A text names a figure that no table holds.",
    "unknown-limit": "A step is judged by a row that the limits file does not hold.",
    "unknown-step": "An answer leads to a step that is not in the procedure.",
    "unknown-procedure": "A plan or a step names a procedure that is not in the set.",
    "unreachable-step": "No way from the first step leads to this step.",
    "missing-end": "A way through the procedure does not come to an end.",
    "missing-answer": "An answer that the step can give leads nowhere.",
    "unknown-answer": "A step lists an answer that its kind does not have.",
    "dead-answer": "A step lists an answer that it can never give.",
    "bad-state-first": "Of the states that may be seen, one that does not pass is written before the one that does.",
    "reading-left-out": "A test does not ask for a reading that its result rests on, or does not judge it.",
    "cyclic-steps": "The steps of a procedure lead back to themselves.",
    "backward-answer": "An answer leads to an earlier step of the procedure.",
    "band-gap": "A value exists that no band of the row holds.",
    "band-overlap": "A value exists that two bands of the row hold.",
    "band-unordered": "The bands of a row do not say which of two bounds is the larger.",
    "band-empty": "A band of a row holds no number.",
    "forbidden-in-step": "A step carries what belongs to the act, such as needs or effects.",
    "no-supplier": "Nothing in the plan brings about a fact that a step needs.",
    "supplier-cycle": "Facts wait for each other in a circle.",
    "no-source": "A figure has no source beside it.",
    "card-contradiction": "Two facts of the card cannot both be true.",
    "missing-file": "A job lacks its card, its plan or its limits.",
    "critical-not-marked": "A step names an act that cannot be undone or can injure, without the mark for it.",
    "no-way-back": "A result that fails is opened again by nothing.",
    "unsafe-walk": "A walk through the job breaks something that keeps people safe.",
    "not-shown": "Something that keeps people safe could not be shown to hold on every walk.",
    "few-looks": "A step asks less than its act rests on, or not at each point.",
    "never-ends": "A walk through the job does not come to its end.",
    "out-of-date": "A date that bounds the use of something has passed.",
    "two-actions": "A step asks for two actions and does not say that they are done at the same time.",
    "not-imperative": "A step does not begin with a command that the glossary lists.",
    "not-a-sentence": "A step is not one sentence with a capital letter and a full stop.",
    "long-sentence": "A sentence that tells somebody what to do has more than 20 words.",
    "condition-after": "A condition does not stand before its command, set apart by a comma.",
    "command-in-note": "A text that only informs begins with a command.",
    "act-in-warning": "A warning hides an act that wants a step of its own.",
    "no-way-out": "The last part of a warning does not say what to do.",
    "no-warning": "A step whose act can hurt has no warning before it.",
    "severity-unlike-harm": "The signal word of a warning does not fit the harm that it names.",
    "no-prerequisite": "A procedure does not say what must be there before its first step.",
    "two-names": "A thing is called by another name than its own.",
    "no-reason": "A step does not say why it is done.",
    "no-reference": "A step does not say where it comes from.",
    "reason-in-step": "A step gives its reason inside the sentence that says what to do.",
    "unknown-reference": "A text names a hold point that there is not.",
    "no-look-after": "Nothing looks at what a critical step has done.",
    "value-without-limit": "A value is asked for and nothing says what is wanted.",
    "bare-number": "A number stands without its unit.",
    "vague-word": "A word leaves open what is meant.",
    "and-or": "Two words are joined so that either or both may be meant.",
    "double-negative": "One clause denies twice.",
    "answer-of-approval": "A state is answered with approval and not with what is seen.",
    "long-section": "A section has more than 9 steps.",
}
"""Each finding code with one sentence on the state of things; other rooms add their rows here."""


class Findings:
    """A collector of findings; codes that are not in CODES are refused."""

    def __init__(self) -> None:
        self._found: dict[Finding, None] = {}

    def add(
        self,
        code: str,
        message: str,
        place: Place | None = None,
        *,
        hint: str = "",
        level: Level = Level.ERROR,
        related: Iterable[tuple[str, Place]] = (),
        walk: Iterable[str] = (),
    ) -> None:
        """Keep one finding; ValueError when the code is not in CODES."""
        self.extend([Finding(code, level, message, place, hint, tuple(related), tuple(walk))])

    def extend(self, found: Iterable[Finding]) -> None:
        """Keep each of the findings; ValueError when a code is not in CODES."""
        for finding in found:
            if finding.code not in CODES:
                raise ValueError(f'"{finding.code}" is not a finding code; add it to CODES first.')
            self._found[finding] = None

    def all(self) -> tuple[Finding, ...]:
        """All findings without doubles, sorted by place; those without a place come last."""
        return tuple(sorted(self._found, key=_order))

    def errors(self) -> tuple[Finding, ...]:
        """The findings of level error, sorted like all."""
        return tuple(finding for finding in self.all() if finding.level is Level.ERROR)

    def has_errors(self) -> bool:
        """True when at least one finding is an error."""
        return any(finding.level is Level.ERROR for finding in self._found)

    def __len__(self) -> int:
        return len(self._found)


def _order(finding: Finding) -> tuple[bool, str, int, int, str, str]:
    place = finding.place or Place("", 0, 0)
    return (finding.place is None, place.file, place.line, place.column, finding.code, finding.message)


class BadFile(FerruleError):  # noqa: N818 - the name is what the person has: a bad file
    """A file that cannot be used, with everything that was found in it."""

    def __init__(self, findings: Sequence[Finding]) -> None:
        if not findings:
            raise ValueError("A bad file needs at least one finding.")
        self.findings = tuple(findings)
        count = "1 finding" if len(self.findings) == 1 else f"{len(self.findings)} findings, the first"
        super().__init__(f"{count}: {self.findings[0].message}")


def nearest(word: str, candidates: Iterable[str]) -> str | None:
    """The candidate that looks most like the word, or None when none is near."""
    import difflib  # only after a mistake: keeps it out of every start

    if len(word) > _LONGEST_WORD:
        return None
    known = sorted(set(candidates))
    for candidate in known:
        if candidate.casefold() == word.casefold():
            return candidate
    near = difflib.get_close_matches(word, known, n=1)
    return near[0] if near else None


_LONGEST_WORD = 64
"""Longer words are not compared: the cost grows with the square of the length."""

_SHOWN_AROUND = 100
"""Characters of a source line that are shown; a longer line is cut around the place."""

_TOKEN = re.compile(r"""'(?:[^']|'')*'|"(?:[^"\\]|\\.)*"|(?:(?!:(?:\s|$)|\s\#).)+""")
"""What the carets underline: a quoted text, or the words up to a colon, a comment or the line's end."""


def render(findings: Iterable[Finding], texts: Mapping[str, str]) -> str:
    """All findings as text for a person; `texts` holds the files' contents by the name used in places."""
    return "\n".join(line for finding in findings for line in _render_one(finding, texts))


def _render_one(finding: Finding, texts: Mapping[str, str]) -> Iterator[str]:
    head = f"{finding.level}[{finding.code}] {visible(finding.message)}"
    if finding.place is None:
        yield f"(place not known) {head}"
    else:
        yield f"{visible(str(finding.place))} {head}"
        yield from _excerpt(finding.place, texts)
    for note, place in finding.related:
        yield f"      = see: {visible(str(place))} {visible(note)}"
        yield from _excerpt(place, texts)
    yield from (f"        {visible(line)}" for line in finding.walk)
    if finding.hint:
        yield f"      = try: {visible(finding.hint)}"


def _excerpt(place: Place, texts: Mapping[str, str]) -> Iterator[str]:
    """The source line and its carets; nothing when the text or the line is not at hand."""
    text = texts.get(place.file)
    lines = [] if text is None else re.split(r"\r\n|[\r\n]", text)
    if not (1 <= place.line <= len(lines) and place.column >= 1):
        return
    line = lines[place.line - 1].rstrip()
    column = min(place.column, len(line) + 1)
    token = _TOKEN.match(line, column - 1)
    length = len(token.group().rstrip()) if token else 1
    shown, column = _cut(line, column)
    source, carets = caret_lines(shown, column, length).split("\n")
    yield f"{place.line:>5} | {source}"
    yield f"      | {carets}"


def _cut(line: str, column: int) -> tuple[str, int]:
    """A long line cut around the column, and the column inside the cut line."""
    if len(line) <= _SHOWN_AROUND:
        return line, column
    start = max(0, column - 1 - _SHOWN_AROUND // 2)
    end = start + _SHOWN_AROUND
    before = "…" if start else ""
    after = "…" if end < len(line) else ""
    return f"{before}{line[start:end]}{after}", column - start + len(before)


def as_json(findings: Iterable[Finding]) -> list[dict[str, object]]:
    """The findings as plain values for a JSON answer."""
    return [
        {
            "code": finding.code,
            "level": finding.level.value,
            "message": finding.message,
            "place": _place_json(finding.place),
            "hint": finding.hint,
            "related": [{"note": note, "place": _place_json(place)} for note, place in finding.related],
            "walk": list(finding.walk),
        }
        for finding in findings
    ]


def _place_json(place: Place | None) -> dict[str, object] | None:
    if place is None:
        return None
    return {"file": place.file, "line": place.line, "column": place.column, "path": place.path}
