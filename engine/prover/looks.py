"""How many looks an act rests on at the least, held against the steps that answer it.

For: a question that was left out, is asked once for many, or of which every answer passes.
Must never: refuse a set; looks can be put together in fewer questions, and only a reader can tell whether they were.

The numbers are written out here apart from the procedures, from what the trade brief has looked at for each act.
"""

from __future__ import annotations

from collections.abc import Iterator, Mapping

from ferrule.engine.findings import Finding, Level, Place
from ferrule.engine.procedure.compiled import Cell, Job, Step
from ferrule.engine.procedure.places import step_key
from ferrule.engine.prover.moves import used_procedures
from ferrule.engine.safety.acts import PASS
from ferrule.engine.walk.place import holds

LOOKS: Mapping[str, tuple[int, int]] = {
    "check the job": (4, 0),
    "check authority": (3, 0),
    "check competence": (3, 0),
    "assess the risk": (6, 0),
    "check protective equipment": (4, 0),
    "check instruments": (5, 4),
    "check the torque tool": (4, 4),
    "read the records": (3, 0),
    "identify the way": (5, 0),
    "inspect condition": (5, 0),
    "look at the earthing": (1, 0),
    "judge the device on paper": (10, 0),
    "judge the device in the hand": (10, 0),
    "tell the users": (3, 0),
    "list the sources": (3, 2),
    "prove the indicator": (2, 0),
    "replace the indicator": (2, 0),
    "see the circuit live": (1, 0),
    "isolate and lock": (5, 5),
    "isolate and lock through upstream sources": (4, 3),
    "open the cover": (2, 0),
    "fit the barrier": (1, 0),
    "prove dead": (2, 0),
    "mark the conductors": (3, 0),
    "trace the neutral": (1, 0),
    "take out the conductors": (3, 0),
    "part and insulate the ends": (2, 0),
    "take off the old device": (1, 0),
    "look at the busbar": (4, 0),
    "unplug the loads": (3, 1),
    "read insulation": (1, 0),
    "read insulation together": (1, 0),
    "check polarity": (3, 0),
    "fit the device": (5, 0),
    "land the conductors": (2, 2),
    "torque, tug and mark": (4, 3),
    "see the enclosure": (6, 0),
    "read insulation after landing": (2, 0),
    "clear the place": (5, 0),
    "close the cover": (2, 0),
    "give back the main switch": (3, 3),
    "close the way": (2, 0),
    "record the cause of the trip": (1, 0),
    "read loop impedance": (1, 0),
    "time the residual device": (2, 0),
    "press the test button": (6, 0),
    "judge the button": (2, 0),
    "hold the toggle and press": (2, 0),
    "give back a second source": (3, 3),
    "compare with as found": (1, 0),
    "count tools and keys": (3, 0),
    "write up the record": (3, 0),
    "brief the client": (4, 0),
    "hold the insulation against the trip": (1, 0),
    "remake an accessory": (1, 0),
    "remake a joint or cable": (1, 0),
    "remake a device terminal": (1, 1),
    "remake the main bonding": (1, 0),
    "close the device alone": (6, 6),
    "judge the device by itself": (1, 0),
    "say where the fault lies": (1, 0),
    "seat the device again": (3, 0),
    "quarantine the device": (1, 0),
    "take hands and tools out": (1, 0),
    "switch off and lock for safety": (3, 3),
    "switch the way off": (1, 0),
    "tell people": (2, 0),
    "switch the old device off": (1, 0),
    "lock off the job way": (3, 0),
    "give back the main switch for the other ways": (3, 3),
    "take the lock off the job way": (2, 0),
    "say how it goes on": (1, 0),
    "agree to put back": (3, 0),
    "take off the new device": (2, 0),
    "fit the old device again": (4, 0),
    "land the conductors in the old device": (2, 2),
    "torque, tug and mark an old terminal": (3, 3),
    "clear the place around the old device": (5, 0),
    "give back the main switch with the old device": (3, 3),
    "close the old device": (2, 0),
    "record why the old device tripped": (1, 0),
    "read the old way live": (1, 0),
    "press the old button": (3, 0),
    "give back a second source with the old device": (2, 2),
    "tell that nothing is improved": (2, 0),
}
"""By act: questions of which some answer does not pass, and how many of them at each point (trade brief §2 to P7).

Where an act is done to points of another kind too, these have a row of their own.
"""


def few_looks(job: Job, places: Mapping[str, Place]) -> Iterator[Finding]:
    """A step that asks less than its act rests on: fewer questions that can fail, or fewer at each point.

    Only what the job leads to is looked at: what does not apply to a card may ask less there.
    """
    for name in used_procedures(job):
        procedure = job.procedures[name]
        for step in procedure.steps:
            if step.act not in LOOKS or not holds(step.when, job.card_facts):
                continue
            can_fail = [cell for cell in step.cells if holds(cell.when, job.card_facts) and _can_fail(cell)]
            at_each = [cell for cell in can_fail if step.points and not cell.once]
            says = _says(step, len(can_fail), len(at_each))
            if says:
                place = places.get(step_key(procedure.id, step.id, "act"))
                hint = "ask what is missing, or make sure that another question holds it"
                yield Finding("few-looks", Level.WARNING, says, place, hint)


def _can_fail(cell: Cell) -> bool:
    return bool(cell.matches) or any(state.answer != PASS for state in cell.states)


def _says(step: Step, asked: int, at_each: int) -> str:
    least, least_each = LOOKS.get(f"{step.act} through {step.points}", LOOKS[step.act])
    if asked < least:
        return f'The act "{step.act}" rests on {least} looks that can fail; "{step.id}" asks {asked}.'
    if at_each < least_each:
        return f'The act "{step.act}" rests on {least_each} looks at each point; "{step.id}" asks {at_each} there.'
    return ""
