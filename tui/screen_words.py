"""Sentences that only the screens need; what plain mode says too stands in `words`.

Must never: carry a colour or a layout, or say what a conductor is now.
"""

from __future__ import annotations

from collections.abc import Sequence

from ferrule.engine.procedure.compiled import Job
from ferrule.engine.quantity.units import UNITS
from ferrule.engine.safety.acts import ACTS, needs_of
from ferrule.engine.walk import events as e
from ferrule.engine.walk.cell_view import CellView
from ferrule.engine.walk.origins import EXPECTED, LIMIT
from ferrule.engine.walk.place import step_at
from ferrule.engine.walk.situation import HoldView, Situation, StepView
from ferrule.tui import words
from ferrule.tui.bindings import ANSWER_KEYS, KEYS, SIDE_KEYS
from ferrule.tui.margins import margin_of
from ferrule.tui.origin_words import origin_lines, origin_short
from ferrule.tui.summary_words import summary_lines

TOO_SMALL = (
    "This window is too small: {width} by {height}.\n"
    "60 by 20 or more are needed.\n"
    "Nothing is lost; make the window larger.\n"
)
SMALL_WALK = "F12 stops work. F10 leaves; what is typed here and not recorded is dropped."
SMALL_LEAVE = "F10 leaves."
DROPPED = "The walk left the step: what was typed there and not recorded is gone ({count} of its places)."
PATH_INTRO = "Enter on an entry strikes it out, with a reason; F4 adds a remark to its step."
NO_PICTURE = "There is no picture for this step."
STOPPED_NOW = "Work was stopped. Hands out. Only what makes the place ready to be left is open."
STOPPED_ALREADY = "Work is stopped already. Going on is under F11."
WRONG_LINE = "That is not what the warning of this step says. Read it again; nothing was recorded."
FAR_STOPPED = "WORK STOPPED"
FAR_SHUT = "TOUCH NOTHING"
FAR_FOUND = "NO VOLTAGE FOUND {ago}"
FAR_HINT = "F6 goes back to the step; from here no answer is recorded"
READ_ON = "Read the warning to its end first: PageDown."
HELD = "A key that is held down, or struck twice at once, counts once."
PAGE_HINT = "PageDown reads on  Esc goes back to the step"
PICK_HINT = "Up, Down or a digit marks  Enter takes it  Esc: back"
ASK_HINT = "Enter takes it  Esc goes back to the step"
JOBS_HINT = "Up, Down or a digit marks  Enter opens it"
JOBS_PAGE_HINT = "PageDown reads on  Esc goes back"
JOBS_KEYS = "F1 help F9 light F10 leave  Esc back"
NO_JOBS = "No job is open. Start one from a card, or make a card first."
WHAT_IT_IS = " A guided walk for fitting and proving a residual-current breaker."
REPLAY_HINT = "Right next  Left before  PageDown 10 on  d next difference"
REPLAY_KEYS = "F1 help F9 light F10 leave  Up, Down read on"
REPLAY_DIFFERS = 1
"""Exit code of a replay with differences (design, section 7)."""
MORE_BELOW = "PageDown: more  "
DISK_ADVICE = (
    "Nothing was recorded by this; the walk stands where it stood. "
    "F11 goes on with another disk. F10 leaves: the job can be taken up again."
)
MOVE_INTRO = "All that was saved is copied there and goes on there; the log here stays as it is."
NOTHING_TOLD = "Nothing was told of it yet."
LIST_INTRO = "Enter on a goal shows the steps that it will ask for; nothing changes by it."
FALLS_INTRO = "It stays legible. Struck out, it leads to this:"
FALLS_AFTER = "It stays legible; what was just shown follows from it."
GIVE_UP_INTRO = "Nothing can be added to the log afterwards. It does not make the place safe: stop with F12 for that."

HAND_OVER = "A second person looks here, without sight of what was read. Hand the laptop over; they choose their name."
HAND_BACK = "Hand the laptop back to {name}."
HIDDEN = "What was read before is hidden from the second look. It is shown again when the laptop goes back."
TURNED = "{name} looks now, with their own eyes. What was read before is hidden until the laptop goes back."
NOBODY_LOOKS = "Nobody else on the card may look here: amend the card (F11) or stop (F12)."
_MOST_SENTENCES = 2
"""Sentences of a verdict that stand on the step's screen; all of them stand in the path."""


_SILENT = (
    e.FactsChanged,
    e.ResultRested,
    e.RoundStamped,
    e.DecisionWanted,
    e.Refused,
    e.Doubted,
    e.WaitBegan,
    e.CautionApplied,
)
"""Events that stand in the path and are said there, or that the step itself or the refusal beside them says."""


def verdict_lines(shown: Sequence[e.Event], job: Job, why_here: str = "") -> tuple[str, ...]:
    """Return what the last command led to: the word, its sentences with real numbers, and why this branch.

    The reason that stands with the step already is not said twice.
    """
    lines: list[str] = []
    for event in shown:
        if isinstance(event, e.Answered):
            lines += _answered_lines(event, job, why_here)
        elif isinstance(event, e.Moved):
            if event.why and event.why != why_here:
                lines.append(f"Why this branch: {event.why}")
        elif not isinstance(event, _SILENT):
            lines.append(words.event_words(event, job))
    return tuple(lines)


def _answered_lines(event: e.Answered, job: Job, why_here: str) -> list[str]:
    """Return the word of an answer, and of what gave it that word the readings nearest to their limit first."""
    step = step_at(job, event.step)
    lines = [f"Last: {words.outcome_words(event.word)}  {step.text if step else event.step}"]
    judged = [(c.point, c.verdict) for c in event.cells if c.verdict and c.outcome == event.word]
    judged += [("", check) for check in event.checks if check["outcome"] == event.word]
    judged.sort(key=lambda one: margin_of(one[1]))
    several = len(judged) > _MOST_SENTENCES
    said = [f"{point}: {v['sentence']}" if several and point else str(v["sentence"]) for point, v in judged]
    said = [sentence for sentence in said if sentence not in why_here]
    lines += said[:_MOST_SENTENCES]
    if len(said) > _MOST_SENTENCES:
        lines.append(f"And {len(said) - _MOST_SENTENCES} more such, under F3.")
    return lines


def unit_shown(place: CellView) -> str:
    """Return the unit as it stands beside the field."""
    return UNITS[place.unit].shown if place.unit else ""


def size_words(text: str) -> str:
    """Return the size of a typed number in words, against slips by a factor of ten; empty where it is none."""
    whole, _, rest = text.partition(".")
    if not whole.isdigit() or not whole.isascii() or (rest and not rest.isdigit()):
        return ""
    number = int(whole)
    if number == 0:
        return "zero" if not rest.strip("0") else "less than one"
    bounds = ((1, "ones"), (10, "tens"), (100, "hundreds"), (1000, "thousands"))
    return next((name for size, name in reversed(bounds) if number >= size), "")


def place_notes(place: CellView) -> tuple[str, ...]:
    """Return what goes with a place: instrument, steps, what is expected and passes, and where that comes from."""
    first = []
    if place.instrument:
        first.append(f"With {place.instrument}, in steps of {place.resolution} {unit_shown(place)}.")
    if place.kind == "match":
        first.append("Type what is read on the equipment itself.")
    if place.twice:
        first.append("It is typed twice, the second time without sight of the first.")
    second = [
        f"Expected: {place.expected}, {origin_short(place, EXPECTED)}." if place.expected else "",
        f"Passes: {place.limit}, {origin_short(place, LIMIT)}." if place.limit else "",
    ]
    return tuple(line for line in (" ".join(first), " ".join(filter(None, second))) if line)


def form_hint(place: CellView) -> str:
    """Return which keys answer a place."""
    if place.kind == "state":
        return f"1 to {len(place.states)} what is seen  * not reached"
    if place.kind != "number":
        return "type the words  * not reached"
    above = f"+ {place.above}  " if place.above else ""
    below = f"- {place.below.replace('no indication, ', 'nothing ')}  " if place.below else ""
    return f"{above}{below}* not reached  / unstable"


def hold_evidence(step: StepView, situation: Situation, job: Job) -> tuple[str, ...]:
    """Return each fact that a hold point rests on, as it is recorded."""
    found = step_at(job, step.where)
    act = ACTS.get(found.act) if found else None
    if act is None or found is None:
        return ()
    needs = needs_of(act, found.of, job.objects)
    return tuple(words.fact_words(n.fact, situation.facts[n.fact], job) for n in needs if n.fact in situation.facts)


def signers(hold: HoldView, job: Job) -> tuple[tuple[str, str, bool], ...]:
    """Return (role, person, by telephone) for every signature that may still be given here."""
    have = {role for role, _, _ in hold.signed}
    taken = {person for _, person, _ in hold.signed}
    found = []
    for role in hold.wanted:
        if role in have:
            continue
        people = [p.id for p in job.card.people if role in p.roles and p.id not in taken]
        found += [(role, person, False) for person in people]
        if hold.telephone and role in ("supervisor", "designer"):
            found += [(role, person, True) for person in people]
    return tuple(found)


def signer_words(choice: tuple[str, str, bool], hold: HoldView, job: Job) -> str:
    """Return one such signature in words."""
    role, person, telephone = choice
    how = ", by telephone" if telephone else ""
    alone = ", a self-check: look again before it" if hold.self_check and role == "technician" else ""
    return f"{role}: {words.person_name(job, person)} ({person}){how}{alone}"


_SECONDS_FROM_S = 120


def wait_words(left_ms: int) -> str:
    """Return how long a wait still is: in whole minutes begun, and in seconds for the last two of them."""
    seconds = -(-left_ms // 1000)
    if not seconds:
        return "The time is over."
    if seconds > _SECONDS_FROM_S:
        return f"{-(-seconds // 60)} min left"
    return f"{seconds // 60} min {seconds % 60:02d} s left"


def lone_words(minutes: int, others: Sequence[str]) -> str:
    """Return what the lone-work clock asks, and whom somebody who finds the screen is to ring."""
    ring = f"Nobody answers? Ring {' or '.join(others)}." if others else "Nobody answers? Ring for help."
    return f"SIGN OF LIFE: no key for {minutes} min. Any key answers. {ring}"


def why_lines(situation: Situation, job: Job, now_ms: int) -> tuple[str, ...]:
    """Return why the step is there, its procedure, and all that is recorded on safety."""
    lines: list[str] = []
    step = situation.step
    if step is not None:
        found = job.procedures[step.where.partition("/")[0]]
        lines += [
            f"Step: {step.text}",
            f"Why: {step.why or 'no reason is given.'}",
            f"Source: {step.source or 'none is given.'}",
            f"Why here now: {situation.why_here or 'it follows the step before.'}",
            "",
            f"Procedure: {words.revision_words(step)}. {found.purpose}",
            f"For: {found.scope}" if found.scope else "",
            *(f"Before it: {text}" for text in found.prerequisites),
            f"Name of the step: {step.where}",
            f"Limits of the job: {situation.edition}",
            *(summary_lines(job) if step.opening else ()),
            *origin_lines(step.cells),
            *words.notice_lines(situation),
        ]
        lines += hold_evidence(step, situation, job) if step.hold else ()
    lines += ["", "Recorded on safety:", *words.safety_lines(situation, job, now_ms)]
    if situation.outstanding:
        lines += ["", "Still to be put right:"]
        lines += [words.fact_words(f, situation.facts[f], job) for f in situation.outstanding]
    return tuple(lines)


def help_lines() -> tuple[str, ...]:
    """Return every key with what it does."""
    lines = ["Commands. The letter works where nothing is being typed.", ""]
    lines += [f"{key.shown:<4} {key.letter}  {key.words}" for key in (*KEYS, *SIDE_KEYS)]
    lines += ["", "Answers. All of them are on a number pad.", ""]
    return (*lines, *answer_lines(ANSWER_KEYS), "", HELD)


def answer_lines(answers: Sequence[tuple[str, str]]) -> tuple[str, ...]:
    """Return keys with what each does, below each other."""
    return tuple(f"{keys:<16} {what}" for keys, what in answers)
