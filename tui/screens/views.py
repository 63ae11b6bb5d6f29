"""The parts of the walk screen as contents, worked out from the situation and from what is typed.

Must never: decide anything, or read what the situation leaves out.
"""

from __future__ import annotations

import textwrap

from textual.content import Content

from ferrule.engine.procedure.compiled import Job, Warned
from ferrule.engine.text import width
from ferrule.engine.walk.situation import Situation
from ferrule.tui import words
from ferrule.tui.signs import shown
from ferrule.tui.strip_words import strip_rows
from ferrule.tui.time_words import next_words
from ferrule.tui.widgets.text import Part, content, cut, pad, rows

WIDE = 100
"""From this width on, each part of a warning has a line of its own."""
TALL = 34
"""From this height on, the strip gives each fact its own line."""
MARKS_HIDDEN = "Title, board and way are hidden: read the marks yourself"
"""In the head while a second person reads the marks at the board, so that none of them is copied from it."""
LOOKS_ALONE = "A second person looks here. Working alone, look again yourself: a self-check, not independent."
LOOKS_SECOND = "A second person looks here, with their own eyes."
_WHOLE_IN_F5 = " F5"
"""Where what is cut in strip or notice can be read whole."""


def head(job: Job, situation: Situation, name: str, cells: int, acting: str, *, marks: bool = True) -> Content:
    """Return mode, title, board and way; procedure, section, who acts, stage and step; or no marks of the board."""
    card, step = job.card, situation.step
    right = cut(f" {card.board} way {card.way} ", cells // 2) if marks else ""
    first = pad(card.title if marks else MARKS_HIDDEN, cells - len(name) - len(right) - 3)
    counts = f" stage {situation.stage}/{situation.stages} "
    if step is not None:
        counts = f" stage {situation.stage} of {situation.stages}, step {step.number} of {step.count} "
    left = situation.stage_title
    if step is not None:
        draft = " DRAFT" if step.draft else ""
        left = f"{step.procedure}, rev. {step.revision}{draft}{f': {step.section}' if step.section else ''}"
    by = f", by {acting}" if cells >= 100 else ""
    return content(
        (f" {name} ", "reverse bold"), f" {first}", right, "\n", f" {pad(left + by, cells - len(counts) - 1)}", counts
    )


def strip(job: Job, situation: Situation, now_ms: int, cells: int, lines: int) -> Content:
    """Return what is recorded on safety: short rows on a small screen, whole lines on a tall one."""
    if lines >= TALL:
        found = [textwrap.wrap(shown(line), cells - 1) for line in words.safety_lines(situation, job, now_ms)]
        return rows(f" {row}" for block in _bounded(found, lines // 2, cells - 1) for row in block)
    short = strip_rows(situation, job, now_ms)
    wrapped = [textwrap.wrap(shown(said), cells - 9) or [""] for _, said in short]
    parts: list[Part] = []
    for (label, _), block in zip(short, _bounded(wrapped, lines // 2, cells - 9), strict=True):
        parts += ["\n" if parts else "", (f" {label:<8}", "bold"), ("\n" + " " * 9).join(block)]
    return content(*parts)


def _bounded(blocks: list[list[str]], most: int, cells: int) -> list[list[str]]:
    """Return blocks of at most so many rows together, cut at the longest with a mark and the key that shows all."""
    kept = [len(block) for block in blocks]
    while sum(kept) > most and max(kept) > 1:
        kept[kept.index(max(kept))] -= 1
    room = cells - len(_WHOLE_IN_F5) - 1
    return [
        block
        if left == len(block)
        else [*block[: left - 1], f"{cut(block[left - 1], room).rstrip('…')}…{_WHOLE_IN_F5}"]
        for block, left in zip(blocks, kept, strict=True)
    ]


def warnings(situation: Situation, cells: int) -> Content:
    """Return the warnings of the step, each whole, with its severity by word and shape; wide, part below part.

    A notice warns of no harm and never stands here, so that it is not mistaken for a warning (SP-10).
    """
    step = situation.step
    if step is None or situation.pending is not None:
        return content("")
    parts: list[Part] = []
    warned = [warning for warning in step.warnings if warning.severity != words.NOTICE]
    for warning in warned:
        if cells >= WIDE:
            parts += _warning_rows(warning, cells - 2)
        else:
            signal, _, said = words.warning_words(warning).partition(": ")
            parts += [(f" {signal} ", "reverse bold"), f" {said}", "\n"]
    if step.hazard and not warned:
        parts += [(" ! HAZARD ", "reverse bold"), f" {step.hazard}.", "\n"]
    return content(*parts[:-1])


def _warning_rows(warning: Warned, cells: int) -> list[Part]:
    """Return hazard, consequence and avoidance of a warning below each other."""
    signal = f" {words.SEVERITY_WORDS.get(warning.severity, warning.severity.upper())} "
    labels = ((signal, "reverse bold"), ("leads to", "bold"), ("avoid it", "bold"))
    room = cells - len(signal) - 1
    parts: list[Part] = []
    for (label, style), said in zip(labels, (warning.hazard, warning.consequence, warning.avoid), strict=True):
        wrapped = textwrap.wrap(words.full_stop(shown(said)), max(20, room)) or [""]
        parts += [(label, style), " " * (len(signal) + 1 - len(label)), ("\n" + " " * (len(signal) + 1)).join(wrapped)]
        parts.append("\n")
    return parts


def before(situation: Situation, cells: int) -> Content:
    """Return the step that was done last, in one line."""
    return content(cut(f"  before  {situation.previous}", cells)) if situation.previous else content("")


def now(situation: Situation, cells: int) -> Content:
    """Return the one thing to do now, whole."""
    step = situation.step
    said = step.text if step is not None else "Nothing is open here."
    wrapped = textwrap.wrap(shown(said), max(20, cells - 10)) or [""]
    return content(("> NOW     ", "bold"), (("\n" + " " * 10).join(wrapped), "bold"))


def after(situation: Situation, cells: int) -> Content:
    """Return what comes next, in one line."""
    return content(cut(f"  next    {next_words(situation)}", cells)) if situation.next else content("")


def here(job: Job, situation: Situation) -> Content:
    """Return why the walk is here, and who looks at the step."""
    lines = [f"Why here: {situation.why_here}"] if situation.why_here else []
    step = situation.step
    if step is not None and step.second_person:
        lines.append(LOOKS_ALONE if job.card.sign_off != "supervised" else LOOKS_SECOND)
    return rows(lines)


def here_short(job: Job, situation: Situation, cells: int) -> Content:
    """Return the same in one line for each sentence, with the key that shows it whole."""
    lines = here(job, situation).plain.split("\n")
    room = cells - 2
    return rows(line if width(line) <= room else cut(line, room - len(_WHOLE_IN_F5)) + _WHOLE_IN_F5 for line in lines)


def needs(job: Job, situation: Situation, cells: int) -> Content:
    """Return what a shut gate waits for, and what a reader should know beside the step."""
    room = cells - 2 - len(_WHOLE_IN_F5)
    notices = map(shown, words.notice_lines(situation))
    lines = [said if width(said) <= room else cut(said, room) + _WHOLE_IN_F5 for said in notices]
    own = situation.step.warnings if situation.step is not None and situation.pending is None else ()
    lines += [words.warning_words(warning) for warning in own if warning.severity == words.NOTICE]
    if situation.missing:
        lines += ["SHUT: this step waits for", *(f"  - {words.missing_words(m, job)}" for m in situation.missing)]
    return rows(lines) if lines else content("")
