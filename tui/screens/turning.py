"""The laptop in the hands of a second person: who gets it, what they may not see meanwhile, and how it goes back.

Rules
1. A second look is taken by somebody else than who did the work, before anything is typed for it.
2. While it lasts no value of the first person is shown: no verdict, gauge, picture, reason or path with results.
3. It changes nothing in the log: who answered or signed stands there with the answer or the signature.
"""

from __future__ import annotations

from dataclasses import replace

from ferrule.engine.light import dataclass
from ferrule.engine.procedure.amend import amended_job
from ferrule.engine.shell.session import Session
from ferrule.engine.walk import commands as c
from ferrule.engine.walk.notices import edition_notice, watched
from ferrule.engine.walk.situation import HoldView, Situation
from ferrule.tui import screen_words, words
from ferrule.tui.screens import flows
from ferrule.tui.screens.beside import Pictures
from ferrule.tui.screens.panes import Choice, Page, Pick


@dataclass
class Turned:
    """The screen as it is turned to a second person."""

    first: str
    """Who had the laptop, and gets it back."""
    pictures: Pictures
    """What the first person had chosen to see."""


def is_wanted(desk: flows.Desk) -> bool:
    """True at a step that a second person answers, while the first one has the laptop."""
    step = desk.situation.step
    if step is None or not step.second_person or desk.session.job.card.sign_off != "supervised":
        return False
    return desk.turned is None and desk.situation.pending is None and desk.person == desk.session.state.operator


def hand_over(desk: flows.Desk) -> None:
    """Ask who takes the laptop for the second look; the one who did the work is not offered."""
    people = [p for p in flows.doers(desk) if p.id != desk.session.state.operator]
    if not people:
        desk.say(screen_words.NOBODY_LOOKS)
        return
    choices = [Choice(("Keep the laptop for now",))]
    choices += [Choice((f"{p.name} ({p.id}) has the laptop now",), ", ".join(p.roles)) for p in people]
    desk.open(
        Pick(
            "Who looks here?",
            (screen_words.HAND_OVER,),
            choices,
            lambda at: desk.turn_to(people[at - 1].id) if at else desk.back(),
        )
    )


def sign(desk: flows.Desk, choice: tuple[str, str, bool]) -> None:
    """Sign the hold point on screen; somebody else than who acts gets the laptop and signs with their own hand."""
    role, person, telephone = choice
    step = desk.situation.step
    if telephone or person == desk.person or step is None or step.hold is None:
        flows.sign(desk, choice)
        return
    name, hold = words.person_name(desk.session.job, person), step.hold
    choices = [
        Choice(("Give the laptop back; not signed",)),
        Choice((f"I am {name}: I have looked, and sign as {role}",)),
    ]

    def taken(at: int) -> None:
        if at == 0:
            desk.back()
        else:
            _signed(desk, person, role, hold)

    intro = (
        f"Hold point {hold.name}: {hold.title}.",
        *screen_words.hold_evidence(step, desk.situation, desk.session.job),
    )
    desk.open(Pick(f"Hand the laptop to {name}, {role}", intro, choices, taken))


def _signed(desk: flows.Desk, person: str, role: str, hold: HoldView) -> None:
    first = words.person_name(desk.session.job, desk.person)
    taken = desk.give(c.Sign(person, desk.session.stamp(), hold.name, role))
    if taken is not None and taken.refusal is None:
        said = screen_words.verdict_lines(taken.events, desk.session.job, desk.situation.why_here)
        desk.say(*said, screen_words.HAND_BACK.format(name=first))


def path(desk: flows.Desk) -> None:
    """Show the path so far; to a second person without results, and nothing is struck out meanwhile."""
    if desk.turned is None:
        flows.path(desk)
        return
    lines = [f"{r.wall[11:16]}  {words.person_name(desk.session.job, r.person)}  {r.text}" for r in desk.session.rows()]
    desk.open(Page("The path so far, without what was read", (*lines, "", screen_words.HIDDEN)))


def why(desk: flows.Desk) -> None:
    """Show why the step is there; to a second person without what was read."""
    if desk.turned is None:
        flows.why(desk)
        return
    lines = screen_words.why_lines(desk.situation, desk.session.job, desk.session.now_ms())
    desk.open(Page("Why this step", (*lines, "", screen_words.HIDDEN)))


def reads_marks(situation: Situation) -> bool:
    """True at a step that asks for marks as they are read at the board, to be held against the card."""
    return situation.step is not None and any(cell.kind == "match" for cell in situation.step.cells)


def without_values(shown: Situation, session: Session) -> Situation:
    """Return a situation without what the first person read: no reason, no caution and no figure made of readings."""
    job = amended_job(session.job, session.state.amendments)
    edition = edition_notice(job.limits, session.stamp().on)
    kept = (*watched(job, shown.facts), *((edition,) if edition else ()))
    step = shown.step
    if step is not None:
        bare = (replace(cell, value="", expected="", limit="", origins=()) for cell in step.cells)
        step = replace(step, cells=tuple(bare))
    return replace(shown, step=step, why_here="", notices=kept, outstanding=())
