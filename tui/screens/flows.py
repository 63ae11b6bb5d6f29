"""What can be asked for beside answering the step: each flow asks what it needs, then gives one command.

Must never: give a command that a person did not ask for, or keep what was decided to itself.
"""

from __future__ import annotations

from collections.abc import Callable, Sequence
from dataclasses import replace
from itertools import groupby
from typing import TYPE_CHECKING, Protocol

from ferrule.engine.procedure.compiled import Person
from ferrule.engine.safety.disturbances import DISTURBANCES
from ferrule.engine.shell.pathrows import PathRow
from ferrule.engine.shell.session import Session, Taken
from ferrule.engine.walk import commands as c
from ferrule.engine.walk.access import DOERS
from ferrule.engine.walk.place import step_at
from ferrule.engine.walk.situation import Situation, whole_list
from ferrule.tui import screen_words, words
from ferrule.tui.ahead_words import ahead_lines, goals_of
from ferrule.tui.fall_words import fall_lines
from ferrule.tui.screens.panes import Ask, Choice, Page, Pick

if TYPE_CHECKING:
    from ferrule.tui.screens.turning import Turned


class Desk(Protocol):
    """The screen as a flow sees it."""

    session: Session
    situation: Situation
    person: str
    turned: Turned | None
    """Set while a second person has the laptop."""

    def turn_to(self, person: str) -> None:
        """Show the step to a second person, without what the first one read."""

    def turn_back(self) -> None:
        """Show the step to the first person again."""

    def open(self, pane: Pick | Ask | Page) -> None:
        """Show a question or a page."""

    def back(self) -> None:
        """Show the step again."""

    def give(self, command: c.Command) -> Taken | None:
        """Give a command to the walk and go back to the step; None when the disk refused it."""

    def say(self, *lines: str) -> None:
        """Show sentences where the last verdict stands."""

    def quit(self) -> None:
        """End the program; the job can be taken up again."""

    def renew(self) -> None:
        """Show the step that the session stands at, after the session was changed by something else than a command."""

    @property
    def light_screen(self) -> bool:
        """True while text is dark on light."""


def ask(
    desk: Desk,
    title: str,
    prompt: str,
    then: Callable[[str], object],
    *,
    intro: Sequence[str] = (),
    optional: bool = False,
) -> None:
    """Ask for one line of text."""
    desk.open(Ask(title, tuple(intro), prompt, then, optional))


def pick_person(desk: Desk, title: str, people: Sequence[Person], then: Callable[[str], object]) -> None:
    """Choose a person of the card; one who stands alone needs no choice."""
    if len(people) == 1:
        then(people[0].id)
        return
    if not people:
        desk.back()
        desk.say("Nobody on the card has the role for this.")
        return
    choices = [Choice((f"{p.name} ({p.id})", ", ".join(p.roles))) for p in people]
    desk.open(Pick(title, (), choices, lambda at: then(people[at].id), (34, 0)))


def doers(desk: Desk) -> list[Person]:
    """Return those of the card who do steps, the acting person first."""
    found = [p for p in desk.session.job.card.people if set(p.roles) & set(DOERS)]
    return sorted(found, key=lambda p: p.id != desk.person)


# --- reading ---


def whole(desk: Desk) -> None:
    """Show what is still to be put right, and every goal with its state; equal ones in a row are one line."""
    job, here = desk.session.job, desk.situation
    state = desk.session.state if desk.turned is None else replace(desk.session.state, why_here="")
    told = zip(whole_list(job, state), (goal.by for goal in goals_of(job, state)), strict=True)
    goals = [goal for goal, _ in groupby(told)]
    failed = [Choice(("x TO DO", words.fact_words(f, here.facts[f], job))) for f in here.outstanding]
    signs = {"done": "+ done", "now": "> NOW", "not applicable": "- n/a", "not started": "  open"}
    choices = [*failed, *(Choice((signs.get(kept, kept), title), reason) for (title, kept, reason), _ in goals)]
    at = next((n for n, ((_, kept, _), _) in enumerate(goals, len(failed)) if kept == "now"), 0)

    def ahead(picked: int) -> None:
        """Show what the marked goal's procedure asks; what is to be put right stands in no one procedure."""
        if picked < len(failed):
            desk.back()
            return
        (title, _, _), by = goals[picked - len(failed)]
        desk.open(Page(title, ahead_lines(job, state, by)))

    intro = (screen_words.LIST_INTRO,)
    desk.open(Pick("Every goal of this job", intro, choices, ahead, (7, 0), at, numbered=False))


def path(desk: Desk) -> None:
    """Show the path so far; an entry can be struck out from it."""
    rows = desk.session.rows()
    choices = [
        Choice(
            (str(row.entry), row.wall[11:19], row.text, words.outcome_words(row.word)),
            f"{row.wall}, {words.person_name(desk.session.job, row.person)}: {row.text} "
            f"{words.outcome_words(row.word)}. {row.sentence}",
        )
        for row in rows
    ]
    intro = (screen_words.PATH_INTRO,) if rows else ("Nothing was done yet.",)
    last = max(0, len(rows) - 1)
    desk.open(
        Pick(
            "The path so far",
            intro,
            choices,
            lambda at: correct(desk, _did(rows, rows[at])),
            (4, 8, 0, 22),
            last,
            numbered=False,
            steps=[row.step for row in rows],
        )
    )


def _did(rows: Sequence[PathRow], row: PathRow) -> PathRow:
    """Return the row of what somebody did where a row only followed from it: both have one entry."""
    return next((other for other in rows if other.entry == row.entry and not other.followed), row)


def correct(desk: Desk, row: PathRow) -> None:
    """Show what striking out an entry takes down, then ask for the reason, and do it."""
    title = f"Strike out entry {row.entry}"
    gone = fall_lines(desk.session.preview_correction(row.entry), desk.situation.facts, desk.session.job)

    def reason(_: int) -> None:
        ask(
            desk,
            title,
            "Reason",
            lambda text: desk.give(c.Correct(desk.person, desk.session.stamp(), row.entry, text)),
            intro=(f"Entry {row.entry}: {row.text}", screen_words.FALLS_AFTER),
        )

    intro = (f"Entry {row.entry}: {row.text}", screen_words.FALLS_INTRO)
    desk.open(Pick(title, intro, [Choice((line,), line) for line in gone], reason, numbered=False))


def why(desk: Desk) -> None:
    """Show why the step is there, all that is recorded on safety, and beside a doubtful result its likely causes."""
    session = desk.session
    lines = screen_words.why_lines(desk.situation, session.job, session.now_ms())
    if any(fact.startswith("result:") for fact in desk.situation.outstanding):
        # Only here: ranking causes loads the network of the circuit.
        from ferrule.engine.walk.advice import advice

        lines = (*lines, "", *words.cause_lines(advice(session.job, session.state)))
    desk.open(Page("Why this step", lines))


# --- commands ---


def remark(desk: Desk, where: str = "") -> None:
    """Add a remark to a step of the job; to the one on screen where none is named."""
    step = step_at(desk.session.job, where)
    ask(
        desk,
        "Remark",
        "Remark",
        lambda text: desk.give(c.Remark(desk.person, desk.session.stamp(), text, where)),
        intro=(f"To the step: {step.text}",) if step is not None else (),
    )


def not_applicable(desk: Desk) -> None:
    """Answer the step as not applicable."""
    step = desk.situation.step
    assert step is not None
    ask(
        desk,
        "Not applicable",
        "Reason",
        lambda text: desk.give(c.NotApplicable(desk.person, desk.session.stamp(), step.where, text)),
        intro=(step.text,),
    )


def report(desk: Desk) -> None:
    """Report something that happened to the work."""
    table = [DISTURBANCES[name] for name in desk.situation.reports]
    choices = [Choice((row.name,), row.says) for row in table]
    desk.open(Pick("What happened?", (), choices, lambda at: _report_object(desk, table[at].name)))


def _report_object(desk: Desk, what: str) -> None:
    family = DISTURBANCES[what].object
    if not family:
        _report_note(desk, what, "")
        return
    objects = desk.session.job.objects.get(family, ())
    choices = [Choice((words.object_name(desk.session.job, family, of), of)) for of in objects]
    desk.open(
        Pick(f"{what}: of which {family}?", (), choices, lambda at: _report_note(desk, what, objects[at]), (50, 0))
    )


def _report_note(desk: Desk, what: str, of: str) -> None:
    ask(
        desk,
        f"Report: {what}",
        "What was seen",
        lambda text: desk.give(c.Report(desk.person, desk.session.stamp(), what, of, text)),
        intro=(DISTURBANCES[what].says,),
        optional=True,
    )


def away(desk: Desk) -> None:
    """Leave the board, or be back at it: one key each way; a reason may follow as a remark (INV-36)."""
    at = desk.session.stamp()
    if desk.situation.away_ms is not None:
        desk.give(c.ComeBack(desk.person, at))
    else:
        desk.give(c.StepAway(desk.person, at, ""))


def stop(desk: Desk) -> None:
    """Stop work at once; the reason may be added afterwards."""
    desk.back()
    if desk.situation.stopped:
        desk.say(screen_words.STOPPED_ALREADY)
        return
    taken = desk.give(c.StopWork(desk.person, desk.session.stamp(), ""))
    if taken is None or taken.refusal is not None:
        return

    def add(text: str) -> None:
        desk.back()
        if text:
            desk.give(c.Remark(desk.person, desk.session.stamp(), f"Reason of the stop: {text}"))

    ask(desk, "WORK STOPPED", "Reason, if you can give one", add, intro=(screen_words.STOPPED_NOW,), optional=True)


def settle(desk: Desk, decision: str) -> None:
    """Decide on a doubtful answer: who decides, and why."""
    step = desk.situation.step
    assert step is not None

    def reason(person: str) -> None:
        ask(
            desk,
            f"Settle as {decision}, by {words.person_name(desk.session.job, person)}",
            "Reason",
            lambda text: desk.give(c.Settle(person, desk.session.stamp(), step.where, decision, text)),
            intro=(words.pending_words(desk.situation),),
        )

    pick_person(desk, "Who decides?", doers(desk), reason)


def sign(desk: Desk, choice: tuple[str, str, bool]) -> None:
    """Sign the hold point on screen in a role."""
    step = desk.situation.step
    assert step is not None
    assert step.hold is not None
    name, (role, person, telephone) = step.hold.name, choice
    if not telephone:
        desk.give(c.Sign(person, desk.session.stamp(), name, role))
        return
    ask(
        desk,
        f"Hold point {name}, by telephone as {role}",
        "The words that were read back",
        lambda text: desk.give(c.Sign(person, desk.session.stamp(), name, role, text)),
        intro=(f"Read the hold point to {words.person_name(desk.session.job, person)}; type what was read back.",),
    )


def leave(desk: Desk, filled: int, places: int, begun: bool) -> None:
    """Leave the program; what is typed and not recorded is named first."""
    if not begun:
        desk.quit()
        return
    choices = [Choice(("Stay at the step",)), Choice(("Leave; what is typed here is dropped",))]
    intro = (f"{filled} of {places} places are filled and not recorded.",)
    desk.open(Pick("Leave now?", intro, choices, lambda at: desk.back() if at == 0 else desk.quit()))
