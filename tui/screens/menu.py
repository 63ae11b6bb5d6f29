"""What is needed seldom: hand over, amend the card, go on after a stop, say who acts.

Must never: give a command that a person did not ask for.
"""

from __future__ import annotations

from collections.abc import Callable
from pathlib import Path

from ferrule.engine.procedure.amend import AMENDABLE
from ferrule.engine.safety.endings import ENDINGS, Ending
from ferrule.engine.shell.logfile import StoreError
from ferrule.engine.shell.session import SessionError
from ferrule.engine.walk import commands as c
from ferrule.tui import screen_words, words
from ferrule.tui.head_page import page_lines
from ferrule.tui.screens.flows import Desk, ask, doers, not_applicable, pick_person
from ferrule.tui.screens.panes import Choice, Page, Pick


def more(desk: Desk) -> None:
    """Show what is needed seldom."""
    found: list[tuple[str, Callable[[], None]]] = [("Back to the step", desk.back)]
    if desk.turned is not None:
        found.append(("Give the laptop back, without a look", desk.turn_back))
    if desk.situation.stopped:
        found.append(("Go on with the work after the stop", lambda: carry_on(desk)))
    found.append(("End the job as …", lambda: end_as(desk)))
    found.append(("Hand the job over to another person", lambda: hand_over(desk)))
    found.append(("Amend the card", lambda: amend(desk)))
    found.append(("Say who acts from here on", lambda: act_as(desk)))
    found.append(("The log: its code, another disk, giving it up", lambda: the_log(desk)))
    if any("supervisor" in p.roles for p in desk.session.job.card.people):
        found.append(("The supervisor is beside the work now", lambda: presence(desk, present=True)))
        found.append(("The supervisor has left", lambda: presence(desk, present=False)))
    step = desk.situation.step
    if step is not None and step.not_applicable:
        found.append(("Answer this step as not applicable, with a reason", lambda: not_applicable(desk)))
    desk.open(Pick("More", (), [Choice((name,)) for name, _ in found], lambda at: found[at][1]()))


def the_log(desk: Desk) -> None:
    """Show what can be done with the log itself."""
    found: list[tuple[str, Callable[[], None]]] = [("Back to the step", desk.back)]
    found.append(("Show the code of the log so far", lambda: show_code(desk)))
    found.append(("Read what was told of the record so far", lambda: show_notes(desk)))
    if desk.session.save_failed:
        found.append(("Go on with the log on another disk", lambda: go_on_in(desk)))
    found.append(("Give the job up: close the log as abandoned", lambda: give_up(desk)))
    desk.open(Pick("The log", (), [Choice((name,)) for name, _ in found], lambda at: found[at][1]()))


def show_code(desk: Desk) -> None:
    """Show the head of the log in letters and as a QR code."""
    desk.open(Page("The code of the log", page_lines(desk.session.head_now(), light_screen=desk.light_screen)))


def show_notes(desk: Desk) -> None:
    """Show all that was told of the log, the diary and the second medium."""
    desk.open(Page("Told of the record", desk.session.notes or (screen_words.NOTHING_TOLD,)))


def go_on_in(desk: Desk) -> None:
    """Go on with the log in a folder on another disk, after a save failed."""

    def chosen(folder: str) -> None:
        try:
            told = desk.session.go_on_in(Path(folder).expanduser())
        except StoreError as error:
            told = str(error)
        desk.back()
        desk.say(told)

    ask(desk, "Go on with the log on another disk", "Folder", chosen, intro=(screen_words.MOVE_INTRO,))


def give_up(desk: Desk) -> None:
    """Close the log before its end, with a reason."""

    def reason(text: str) -> None:
        try:
            notes = desk.session.give_up(desk.person, text)
        except (SessionError, StoreError) as error:
            desk.back()
            desk.say(str(error))
            return
        desk.renew()
        desk.say(*notes)

    ask(desk, "Close the log as abandoned", "Reason", reason, intro=(screen_words.GIVE_UP_INTRO,))


def carry_on(desk: Desk) -> None:
    """Go on after a stop."""

    def reason(person: str) -> None:
        command = "Everything that is touched has to be proved again."
        ask(
            desk,
            "Go on with the work",
            "Why may work go on?",
            lambda text: desk.give(c.CarryOn(person, desk.session.stamp(), text)),
            intro=(command,),
        )

    pick_person(desk, "Who lets work go on?", doers(desk), reason)


def end_as(desk: Desk) -> None:
    """Say how the job is to end; an end that is shut says why when it is picked."""
    rows = list(ENDINGS.values())
    said = [row.says if row.name in desk.situation.ends else f"shut now. {row.says}" for row in rows]
    choices = [Choice((row.name, says), says) for row, says in zip(rows, said, strict=True)]
    desk.open(Pick("End the job as", (), choices, lambda at: _end_reason(desk, rows[at]), (32, 0)))


def _end_reason(desk: Desk, row: Ending) -> None:
    def reason(person: str) -> None:
        ask(
            desk,
            f"End the job as {row.name}",
            "Why does it end like this?",
            lambda text: desk.give(c.EndAs(person, desk.session.stamp(), row.name, text)),
            intro=(row.says,),
        )

    pick_person(desk, "Who says so?", doers(desk), reason)


def hand_over(desk: Desk) -> None:
    """Hand the job to another person of the card."""
    people = [p for p in doers(desk) if p.id != desk.session.state.operator]

    def locks(person: str) -> None:
        ask(
            desk,
            f"Hand over to {words.person_name(desk.session.job, person)}",
            "What was done with locks and keys",
            lambda text: desk.give(c.HandOver(desk.session.state.operator, desk.session.stamp(), person, text)),
            intro=("Their locks go on before the old ones come off.",),
        )

    pick_person(desk, "To whom?", people, locks)


def act_as(desk: Desk) -> None:
    """Say who acts from here on."""

    def chosen(person: str) -> None:
        desk.person = person
        desk.back()
        desk.say(f"From here on {words.person_name(desk.session.job, person)} acts.")

    pick_person(desk, "Who acts from here on?", doers(desk), chosen)


def presence(desk: Desk, *, present: bool) -> None:
    """Say whether the supervisor is beside the work."""
    if not present:
        desk.give(c.SayPresence(desk.person, desk.session.stamp(), False))
        return
    people = [p for p in desk.session.job.card.people if "supervisor" in p.roles]
    pick_person(
        desk,
        "Which supervisor says so?",
        people,
        lambda person: desk.give(c.SayPresence(person, desk.session.stamp(), True)),
    )


def amend(desk: Desk) -> None:
    """Amend a field of the card: which, what was seen, the new value, who agrees."""
    points = [p.id for p in desk.session.job.card.circuit.points]
    fields = [
        (pattern.replace("{id}", point), row.says)
        for pattern, row in AMENDABLE.items()
        for point in (points if "{id}" in pattern else [""])
    ]
    choices = [Choice((name, says), says) for name, says in fields]
    desk.open(Pick("Which field of the card?", (), choices, lambda at: _amend_seen(desk, *fields[at]), (30, 0)))


def _amend_seen(desk: Desk, field: str, says: str) -> None:
    def agreed(seen: str, new: str) -> None:
        people = list(desk.session.job.card.people)
        pick_person(
            desk,
            "Who agrees to the change?",
            people,
            lambda who: desk.give(c.Amend(desk.person, desk.session.stamp(), field, seen, new, who)),
        )

    def value(seen: str) -> None:
        ask(desk, f"Amend {field}", "New value", lambda new: agreed(seen, new), intro=(f"Write {says}.",))

    ask(desk, f"Amend {field}", "What was seen", value)
