"""A command of a sound walk as the keys that a person presses for it."""

from __future__ import annotations

from textual import events

from ferrule.engine.procedure.compiled import Job
from ferrule.engine.prover.answers import cells_for
from ferrule.engine.safety.acts import ACTS
from ferrule.engine.walk import commands as c
from ferrule.engine.walk.cells import slots_of
from ferrule.engine.walk.place import step_at
from ferrule.engine.walk.waits import wait_left_ms
from ferrule.tui import screen_words
from ferrule.tui.app import FerruleApp
from ferrule.tui.screens.draft import FORM_KEYS
from ferrule.tui.screens.walk import WalkScreen
from tests.tui.fakes import FakeSession

_FORM_TO_KEY = {form: key for key, form in FORM_KEYS.items()}
_NAMES = {
    "+": "plus", "-": "minus", "*": "asterisk", "/": "slash", ".": "full_stop", " ": "space",
}  # fmt: skip


def walk_of(app: FerruleApp) -> WalkScreen:
    """Return the walk's screen of an application."""
    assert isinstance(app.screen, WalkScreen)
    return app.screen


async def press(app: FerruleApp, *keys: str) -> None:
    """Give keys to the screen at once, without the pilot's pauses; a text of one sign is typed."""
    screen = walk_of(app)
    for key in keys:
        char = key if len(key) == 1 else " " if key == "space" else None
        await screen.on_key(events.Key(_NAMES.get(key, key), char))


def healthy_keys(session: FakeSession) -> list[str]:
    """Return the keys that answer the step on screen as on a sound job."""
    job, state = session.job, session.state
    step = step_at(job, state.step)
    assert step is not None
    if step.kind == "hold":
        hold = session.situation().step
        assert hold is not None
        assert hold.hold is not None
        choices = screen_words.signers(hold.hold, job)
        at = next(n for n, (_, _, telephone) in enumerate(choices) if not telephone)
        in_other_hands = choices[at][1] != state.operator
        return [str(1 + at), "enter", *(("2", "enter") if in_other_hands else ())]
    session.clock_ms += wait_left_ms(job, state, step, session.clock_ms)
    act = ACTS.get(step.act)
    hands = step.kind == "round" and act is not None and bool(act.touches or act.live)
    stamped = ["enter", "enter"] if hands and state.round_start_ms is None else []
    return [*stamped, *_filled(job, session)]


def _filled(job: Job, session: FakeSession) -> list[str]:
    state = session.state
    step = step_at(job, state.step)
    assert step is not None
    answers = cells_for(job, state, step)
    states = {(s.point, s.cell.id): [x.seen for x in s.cell.states] for s in slots_of(job, step)}
    keys: list[str] = []
    for answer in answers:
        if answer.form == c.SEEN:
            keys.append(str(1 + states[answer.point, answer.cell].index(answer.entered)))
        elif answer.form in _FORM_TO_KEY:
            keys.append(_FORM_TO_KEY[answer.form])
        else:
            keys += [*answer.entered, "enter"]
    alone = len(answers) == 1
    takes = alone and answers[0].form not in (c.NUMBER, c.WORDS)
    if step.critical:
        return [*keys, *(["enter"] if takes else []), "confirm"]
    return keys if alone and not takes else [*keys, "enter"]
