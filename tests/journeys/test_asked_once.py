"""On a full run the same fact is asked once; each deliberate repeat is named here with its reason."""

from __future__ import annotations

from collections import Counter, defaultdict
from dataclasses import dataclass

from ferrule.engine.walk import events as e
from ferrule.engine.walk.place import step_at
from tests.support.jobs import job_of
from tests.support.walker import Walker

JOB = job_of()


@dataclass(frozen=True)
class Repeat:
    """A prompt that comes more than once on a full run: at which steps, and why."""

    prompt: str
    steps: tuple[str, ...]
    reason: str


TWO_LOOKS = "double entry: a second look, by another way or at another place, that must agree with the first"
PROVED_AGAIN = "proved again: the proof is used up by the round after it"
CHANGED = "read or seen again: the work in between has changed it"
SET_UP = "set up again: other leads are in the circuit"
DONE_AGAIN = "the act itself is done again and has its own outcome"
OTHER = "another thing is asked of the same part"

REPEATS = (
    Repeat("Board, as its label reads", ("identify-way/second", "identify-way/identify"), TWO_LOOKS),
    Repeat("Way, as its mark reads", ("identify-way/second", "identify-way/identify"), TWO_LOOKS),
    Repeat("Rated residual current", ("device-on-paper/table", "device-in-hand/marks"), TWO_LOOKS),
    Repeat("Temporary links", ("clear-the-place/clear", "count-tools/count"), TWO_LOOKS),
    Repeat(
        "Serial number",
        ("check-instruments/each", "check-torque-tool/each", "prove-indicator/prove", "prove-indicator/prove"),
        PROVED_AGAIN,
    ),
    Repeat("Indicator", ("prove-indicator/prove", "prove-indicator/prove"), PROVED_AGAIN),
    Repeat(
        "Line to neutral",
        (
            "as-found/read",
            "see-live/see",
            "prove-dead/pairs",
            "ring-step-two/sockets",
            "insulation/read",
            "incoming-supply/read",
            "read-loop/sockets",
        ),
        CHANGED,
    ),
    Repeat(
        "Line to earth",
        (
            "as-found/read",
            "see-live/see",
            "prove-dead/pairs",
            "insulation/read",
            "incoming-supply/read",
            "read-loop/sockets",
        ),
        CHANGED,
    ),
    Repeat(
        "Neutral to earth",
        ("as-found/read", "prove-dead/pairs", "insulation/read", "incoming-supply/read", "read-loop/sockets"),
        CHANGED,
    ),
    Repeat("Line with neutral to earth", ("insulation-together/read", "landing-insulation/read"), CHANGED),
    Repeat("Loop impedance", ("as-found/read", "read-loop/sockets", "compare-as-found/compare"), CHANGED),
    Repeat("Cover", ("inspect-condition/look", "open-cover/open", "close-cover/close"), CHANGED),
    Repeat("Isolator", ("list-sources/list", "isolate/lock", "give-back-second-source/close"), CHANGED),
    Repeat("Outgoing ways", ("isolate/lock", "give-back-main-switch/close"), CHANGED),
    Repeat("Conductors", ("land/seat", "see-enclosure/look"), CHANGED),
    Repeat(
        "Display after the button",
        ("insulation/read", "insulation-together/read", "landing-insulation/read"),
        DONE_AGAIN,
    ),
    Repeat(
        "Null the display with the long lead in the circuit.",
        ("main-bonding/null", "protective-conductor-ring/null"),
        SET_UP,
    ),
    Repeat("Lock and tag", ("give-back-main-switch/close", "give-back-second-source/close"), DONE_AGAIN),
    Repeat("Device", ("close-the-way/close", "press-twice/first", "press-twice/second"), DONE_AGAIN),
    Repeat("Toggle", ("fit-device/fit", "press-twice/first", "press-twice/second"), DONE_AGAIN),
    Repeat("Neighbouring ways", ("press-twice/first", "press-twice/second"), DONE_AGAIN),
    Repeat("Socket, indicator proved before and after", ("press-twice/first", "press-twice/second"), DONE_AGAIN),
    Repeat("Off, then on", ("press-twice/first", "press-twice/second", "hold-the-toggle/held"), DONE_AGAIN),
    Repeat("Residual device upstream", ("as-found/read", "press-twice/first", "press-twice/second"), DONE_AGAIN),
    Repeat("Fly-leads", ("device-on-paper/table", "see-enclosure/look"), OTHER),
)


def asked_on_a_full_run() -> dict[str, list[str]]:
    """Return each prompt with the steps that asked it, in order; a step counts once, whatever its points."""
    asked: dict[str, list[str]] = defaultdict(list)
    for _, events in Walker.begin(JOB).walk().trail:
        for event in events:
            step = step_at(JOB, event.step) if isinstance(event, e.Answered) else None
            if not isinstance(event, e.Answered) or step is None:
                continue
            prompts = {cell.id: cell.prompt for cell in step.cells}
            typed = [(prompts[cell.cell], cell.point) for cell in event.cells if cell.form != "computed"]
            assert max(Counter(typed).values(), default=1) == 1, event.step
            for prompt in dict.fromkeys(prompt for prompt, _ in typed):
                asked[prompt].append(event.step)
    return asked


def test_every_fact_is_asked_once_but_for_the_repeats_that_are_meant() -> None:
    """The count of prompts per fact is one; what comes again is listed with its steps and its reason. Shows: HI-12."""
    asked = asked_on_a_full_run()
    again = {prompt: tuple(steps) for prompt, steps in asked.items() if len(steps) > 1}

    assert again == {row.prompt: row.steps for row in REPEATS}
    assert len(asked) - len(again) > 100


def test_no_reading_is_kept_under_the_key_of_another_step() -> None:
    """A reading is taken for one step alone; only the zero of the leads, which each set-up takes anew, is overwritten.

    Shows: HI-12.
    """
    kept: dict[str, set[str]] = defaultdict(set)
    for _, events in Walker.begin(JOB).walk().trail:
        for event in events:
            if isinstance(event, e.Answered):
                for cell in event.cells:
                    if cell.slot and cell.form != "computed":
                        kept[cell.slot].add(event.step)

    assert {slot for slot, steps in kept.items() if len(steps) > 1} == {"null"}
    assert len(kept) > 50


def test_each_repeat_has_a_reason_of_the_few_there_are() -> None:
    """A repeat is allowed for one of six reasons, and every one of them is in use."""
    reasons = {row.reason for row in REPEATS}

    assert reasons == {TWO_LOOKS, PROVED_AGAIN, CHANGED, SET_UP, DONE_AGAIN, OTHER}
    assert len({row.prompt for row in REPEATS}) == len(REPEATS)
