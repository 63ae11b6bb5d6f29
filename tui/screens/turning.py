"""The screen turned to a second person, who looks without seeing what the first one found (VR-01).

While the step asks for such a look, every value of the job so far is out of sight: gauge, pictures, the verdict
before, results in the path.  What was found of voltage, locks and sources stays, because hands depend on it.
Must never: let the first person's sign stand for the second's, or hide a hazard.
"""

from __future__ import annotations

from collections.abc import Callable, Sequence

from ferrule.engine.procedure.compiled import Job, Person
from ferrule.engine.shell.pathrows import PathRow
from ferrule.engine.walk.situation import Situation
from ferrule.tui import words
from ferrule.tui.screens.panes import Choice, Pick

ASKED = "A second person looks here. Hand the laptop over: any key for an answer asks who has it."
HIDDEN = "not shown here"
_TURNED = "Turned to {name}: look for yourself. Values found before are not shown until this look is recorded."
_BACK = "The look of {looked} is recorded. Turned back: hand the laptop to {name}."
_INTRO = (
    "Hand the laptop over now. Values found before are not shown",
    "until the second look is recorded.",
)


def is_second_look(situation: Situation, job: Job) -> bool:
    """True while somebody else looks here, and has not yet recorded what was seen."""
    step = situation.step
    return step is not None and step.second_person and job.card.sign_off == "supervised" and situation.pending is None


def who_looks(people: Sequence[Person], then: Callable[[str], object]) -> Pick:
    """Return the question who has the laptop now; it is asked also where only one person can be meant."""
    choices = [Choice((f"{p.name} ({p.id})", ", ".join(p.roles))) for p in people]
    return Pick("Who looks here?", _INTRO, choices, lambda at: then(people[at].id), (34, 0))


def turned(job: Job, person: str) -> str:
    """Return what the second person reads first."""
    return _TURNED.format(name=words.person_name(job, person))


def turned_back(job: Job, looked: str, person: str) -> str:
    """Return that the look is recorded, and who goes on."""
    return _BACK.format(looked=words.person_name(job, looked), name=words.person_name(job, person))


def told(job: Job, row: PathRow, *, hidden: bool) -> Choice:
    """Return a line of the path; without its result while somebody looks for the second time."""
    result = HIDDEN if hidden else words.outcome_words(row.word)
    sentence = "" if hidden else f" {row.sentence}"
    detail = f"{row.wall}, {words.person_name(job, row.person)}: {row.text} {result}.{sentence}"
    return Choice((str(row.entry), row.wall[11:19], row.text, result), detail)
