"""Where sources disagree the limits file decides: each disputed setting changes what a reading or a step comes to."""

from __future__ import annotations

from collections.abc import Sequence
from dataclasses import dataclass, field
from decimal import Decimal

import pytest

from ferrule.engine.findings import BadFile
from ferrule.engine.procedure.choice_words import CHOICE_FACTS
from ferrule.engine.procedure.compiled import Job
from ferrule.engine.procedure.setting_words import MINUTE_SETTINGS, SETTINGS
from ferrule.engine.quantity.reading import Reading
from ferrule.engine.safety.acts import ACTS
from ferrule.engine.safety.holds import HOLD_POINTS
from ferrule.engine.walk import commands as c
from ferrule.engine.walk import events as e
from ferrule.engine.walk.cells import slots_of
from ferrule.engine.walk.evolve import advance, start
from ferrule.engine.walk.place import step_at
from tests.editions.editions import (
    UK_BEFORE,
    UK_NOW,
    job_otherwise,
    job_under,
    limits_of,
    text_of,
    verdict,
    with_setting,
)
from tests.support.jobs import REFERENCE
from tests.support.walker import Walker


@dataclass(frozen=True)
class Dispute:
    """One reading that two opinions judge differently."""

    setting: str
    other: str
    row: str
    value: str
    unit: str
    function: str
    usual: str
    instead: str
    source: str
    earthing: str = "TN-C-S"
    expect: str = ""
    point: str = ""
    readings: dict[str, str] = field(default_factory=dict)

    def outcome(self, job: Job) -> str:
        """What the reading shows under a job's limits."""
        readings = {key: Reading.measured(Decimal(value), "ohm") for key, value in self.readings.items()}
        found = verdict(
            job,
            self.row,
            self.value,
            self.unit,
            self.function,
            expect=self.expect,
            point=self.point,
            readings=readings,
        )
        return found.outcome.value


ENDS = {"r1": "0.44", "r2": "0.73"}
DISPUTES = [
    Dispute("loop-rule", "two-thirds", "loop-impedance", "0.97", "ohm", "loop", "pass", "conditional-fail",
            "0.8 × 1.37 = 1.096 Ω against 2/3 × 230/160 = 0.958 Ω"),
    Dispute("loop-rule", "warm", "loop-impedance", "1.09", "ohm", "loop", "conditional-pass", "pass",
            "1.096 Ω against 0.35 + (1.37 - 0.35)/1.2 = 1.20 Ω"),
    Dispute("tt-time", "device", "residual-time", "250", "ms", "residual time", "fail", "pass",
            "0.2 s of Table 41.1 against 300 ms of the device", earthing="TT"),
    Dispute("tt-loop", "stable-electrode", "loop-impedance", "400", "ohm", "loop", "pass", "fail",
            "1667 Ω of Table 41.5 against 200 Ω of the On-Site Guide", earthing="TT"),
    Dispute("step-three", "same-everywhere", "ring-step-three", "0.25", "ohm", "low resistance", "pass",
            "conditional-pass", "0.28 Ω by its place against (0.44 + 0.73)/4 = 0.29 Ω", expect="ring.step-three",
            point="S1", readings=ENDS),
    Dispute("insulation-look", "table-only", "insulation", "5.00", "Mohm", "insulation 500", "conditional-pass",
            "pass", "look again below 20 MΩ against the 1 MΩ of Table 64"),
    Dispute("external-impedance-reading", "connected-is-doubtful", "external-impedance-read", "0.30", "ohm", "loop",
            "pass", "conditional-pass", "parallel paths flatter a reading with the earthing conductor on"),
    Dispute("dead-volts", "6 V", "dead-pair", "8", "V", "indicator", "pass", "fail",
            "no published threshold: 12 V is a usual lowest step"),
]  # fmt: skip


@pytest.mark.parametrize("dispute", DISPUTES, ids=lambda d: f"{d.setting}-{d.other}")
def test_each_disputed_setting_changes_a_verdict(dispute: Dispute) -> None:
    """One reading, judged under the packaged opinion and under the other one."""
    assert dispute.source
    usual = job_under(limits_of(UK_NOW), dispute.earthing)
    instead = job_under(with_setting(UK_NOW, dispute.setting, dispute.other), dispute.earthing)

    assert dispute.outcome(usual) == dispute.usual
    assert dispute.outcome(instead) == dispute.instead


def cells_of(job: Job, where: str) -> set[str]:
    """The places that a step asks for."""
    step = step_at(job, where)
    assert step is not None
    return {slot.cell.id for slot in slots_of(job, step)}


def asked(job: Job) -> set[str]:
    """The places that the trip-time step asks for."""
    return cells_of(job, "residual-time/time")


def test_the_residual_test_asks_as_its_edition_does() -> None:
    """One test at the rated current, or half, one and five times: the step asks for more places, judged by 40 ms."""
    one, three = job_under(limits_of(UK_NOW)), job_under(with_setting(UK_NOW, "residual-test", "half-one-five"))

    assert asked(three) - asked(one) == {"half", "five"}
    assert asked(job_under(limits_of(UK_BEFORE))) == asked(three)
    assert verdict(three, "residual-five", "60", "ms", "residual time").outcome == "fail"
    assert verdict(three, "residual-five", "20", "ms", "residual time").outcome == "pass"


@pytest.mark.parametrize(
    ("setting", "value", "row", "reading", "unit", "function", "before", "after"),
    [
        ("cmin", "0.80", "loop-impedance", "0.97", "ohm", "loop", "pass", "conditional-fail"),
        ("measured-factor", "0.7", "loop-impedance", "0.97", "ohm", "loop", "pass", "conditional-fail"),
        ("supply-below", "10 %", "supply-volts", "210", "V", "voltage", "fail", "pass"),
        ("supply-above", "5 %", "supply-volts", "245", "V", "voltage", "pass", "fail"),
        ("leakage-share", "0.2", "leakage", "8.0", "mA", "clamp", "pass", "fail"),
        ("ze-tn-c-s", "0.20 ohm", "external-impedance", "0.30", "ohm", "loop", "pass", "fail"),
        ("rcd-general-ms", "200 ms", "residual-time", "250", "ms", "residual time", "pass", "fail"),
        ("rcd-five-ms", "30 ms", "residual-five", "35", "ms", "residual time", "pass", "fail"),
        ("table-insulation", "0.5 Mohm", "insulation", "0.80", "Mohm", "insulation 500", "fail", "conditional-fail"),
        ("refer-below", "4 Mohm", "insulation", "3.00", "Mohm", "insulation 500", "conditional-pass",
         "conditional-fail"),
        ("look-again", "4 Mohm", "insulation", "5.00", "Mohm", "insulation 500", "conditional-pass", "pass"),
    ],
)  # fmt: skip
def test_each_number_of_a_file_reaches_the_verdict(
    setting: str, value: str, row: str, reading: str, unit: str, function: str, before: str, after: str
) -> None:
    """A number written otherwise in the file changes what a reading shows; none is fixed in the code."""
    usual, instead = job_under(limits_of(UK_NOW)), job_under(with_setting(UK_NOW, setting, value))

    found = [verdict(job, row, reading, unit, function).outcome.value for job in (usual, instead)]

    assert found == [before, after]


def test_each_dispute_has_its_reason() -> None:
    """Every disputed setting of the file stands with its why and its source, in words."""
    text = text_of(UK_NOW)

    for name in {*SETTINGS, *MINUTE_SETTINGS}:
        block = text.split(f"  {name}:\n", 1)[1].splitlines()[:3]
        assert [line.split(":")[0].strip() for line in block] == ["value", "why", "source"]
        assert all(len(line.split(": ", 1)[1].split()) > 1 for line in block[1:])


def walked(setting: str, value: str, card: str = REFERENCE, changes: Sequence[tuple[str, str]] = ()) -> Walker:
    """A sound job walked to its end, with a card and one setting written otherwise."""
    return Walker.begin(job_otherwise(setting, value, card, changes)).walk()


def order_of(walker: Walker) -> list[str]:
    """The steps that were answered or signed, each by its first time."""
    here: list[str] = []
    state = start(walker.job, walker.state.operator)
    for command, events in walker.trail:
        if any(isinstance(event, e.Answered | e.Signed) for event in events) and state.step not in here:
            here.append(state.step)
        state = advance(state, command, events)
    return here


def test_the_button_is_pressed_after_the_timing_or_before_it() -> None:
    """Either order ends complete; hold points seven and eight stand after all that they rest on (§13.3 (2))."""
    after, before = (order_of(walked("button-order", value)) for value in ("after-timing", "before-timing"))

    for order in (after, before):
        seven, eight = order.index("hold-seven/sign"), order.index("hold-eight/sign")
        assert max(order.index("residual-time/time"), order.index("read-loop/sockets")) < seven
        assert max(order.index("judge-the-button/judge"), order.index("hold-the-toggle/held"), seven) < eight
    assert after.index("residual-time/time") < after.index("hold-seven/sign") < after.index("press-twice/first")
    assert before.index("judge-the-button/judge") < before.index("residual-time/time")
    assert "clear-the-button/look" not in after


def test_a_press_before_the_timing_wants_the_loop_first() -> None:
    """The button gate falls with a reading that it rests on, so that nobody presses on a loop that no longer stands."""
    walker = Walker.begin(job_otherwise("button-order", "before-timing"))
    walker.until("press-twice/first")
    assert walker.state.facts["button gate"] == "before timing"

    entry = next(n for n, done in walker.state.done.items() if done.step == "read-loop/sockets")
    walker.give(c.Correct(walker.state.operator, walker.stamp(), entry, "read at another circuit"))

    assert walker.state.facts["button gate"] == "shut"
    assert walker.state.step != "press-twice/first"


@pytest.mark.parametrize(
    ("setting", "leaflet", "tried"),
    [("if-leaflet-allows", "true", True), ("if-leaflet-allows", "false", False), ("never", "true", False)],
)
def test_the_toggle_is_held_only_where_both_allow_it(setting: str, leaflet: str, tried: bool) -> None:
    """The leaflet has to allow a held toggle and the limits file must not rule it out; else that is recorded."""
    walker = walked(
        "trip-free-check", setting, changes=[("toggle may be held: true", f"toggle may be held: {leaflet}")]
    )
    order = order_of(walker)

    assert walker.state.outcome == "complete"
    assert ("hold-the-toggle/held" in order) is tried
    assert ("leave-the-toggle/leave" in order) is not tried
    assert walker.state.facts["press:held"] == ("done" if tried else "ruled out")


@pytest.mark.parametrize(
    ("setting", "leaflet", "asked_for"),
    [
        ("never", "false", False),
        ("never", "true", False),
        ("one-confirming-release", "false", False),
        ("one-confirming-release", "true", True),
    ],
)
def test_a_screw_is_released_twice_only_where_the_leaflet_calls_for_it(
    setting: str, leaflet: str, asked_for: bool
) -> None:
    """One confirming release, in the same round as the first one, and never for the tool's own sake (INV-31)."""
    job = job_otherwise(
        "re-tightening", setting, changes=[("confirming release: false", f"confirming release: {leaflet}")]
    )

    assert ("confirm" in cells_of(job, "torque-tug-mark/each")) is asked_for


def test_a_finished_screw_is_not_tightened_again() -> None:
    """After one terminal was made again, the round of tightening asks for that one and for no other (INV-31)."""
    walker = Walker.begin(job_otherwise("re-tightening", "never"))
    walker.until("see-enclosure/look")
    walker.give(
        c.Report(walker.state.operator, walker.stamp(), "terminal disturbed", "load-line", "knocked by the cover")
    )
    facts = dict(walker.state.facts)
    assert facts["terminal:load-line"] == "loose"
    step = step_at(walker.job, "torque-tug-mark/each")
    assert step is not None
    points = {slot.point for slot in slots_of(walker.job, step, facts) if slot.point}

    assert points == {"load-line"}


@pytest.mark.parametrize(
    ("setting", "above", "asked_for"),
    [
        ("separate-terminals", "true", True),
        ("separate-terminals", "false", False),
        ("one-terminal", "true", False),
    ],
)
def test_protective_ends_are_parted_above_ten_milliampere(setting: str, above: str, asked_for: bool) -> None:
    """Whether the ends sit in terminals of their own is judged where the current may be high and the file says so."""
    change = ("protective current above 10 mA: false", f"protective current above 10 mA: {above}")
    job = job_otherwise("high-protective-current", setting, changes=[change])

    assert ("earth-ends" in cells_of(job, "land/seat")) is asked_for


def test_a_card_that_says_nothing_of_the_current_is_taken_as_high() -> None:
    """What nobody has ruled out is asked for."""
    job = job_otherwise(
        "high-protective-current", "separate-terminals", changes=[("  protective current above 10 mA: false\n", "")]
    )

    assert "earth-ends" in cells_of(job, "land/seat")


def test_a_multimeter_proves_dead_only_where_the_file_lets_it() -> None:
    """Under the usual setting such a card is refused; under the other the range is looked at before and after."""
    meter = [("kind: two-pole indicator", "kind: multimeter")]
    usual = job_otherwise("dead-instrument", "two-pole-indicator")
    instead = job_otherwise("dead-instrument", "multimeter-with-proving", changes=meter)

    with pytest.raises(BadFile, match="is a multimeter"):
        job_otherwise("dead-instrument", "two-pole-indicator", changes=meter)
    assert cells_of(instead, "prove-dead/pairs") - cells_of(usual, "prove-dead/pairs") == {"range"}
    assert "two-pole" in cells_of(usual, "check-instruments/each")
    assert "meter" in cells_of(instead, "check-instruments/each")
    assert Walker.begin(instead).walk().state.outcome == "complete"


def at_the_pairs(job: Job) -> Walker:
    """A sound job in the round of pairs, the indicator just proved and the start stamped."""
    walker = Walker.begin(job).until("prove-dead/pairs")
    while walker.state.step != "prove-dead/pairs" or walker.state.round_start_ms is None:
        command = walker.healthy()
        assert command is not None
        walker.give(command)
    return walker


def test_a_range_that_slipped_proves_nothing() -> None:
    """One wrong range, and the round counts for nothing, however clear its pairs were."""
    meter = [("kind: two-pole indicator", "kind: multimeter")]
    walker = at_the_pairs(job_otherwise("dead-instrument", "multimeter-with-proving", changes=meter))
    walker.give(walker.answer("fail", lambda slot: slot.cell.id == "range"))

    assert walker.state.facts["dead test"] == "none"
    assert walker.state.facts["zone:circuit"] == "unproved"
    assert walker.state.step == "prove-indicator/prove"
    assert walker.walk().state.outcome == "complete"
    assert walker.record.broken == []


@pytest.mark.parametrize(("value", "cell", "seen"), [
    ("earth-first", "earth-first", "earth or neutral, at every pair"),
    ("line-first", "line-first", "line, at every pair"),
])  # fmt: skip
def test_the_probes_go_on_in_the_order_of_the_file(value: str, cell: str, seen: str) -> None:
    """The round asks for the order that the limits file names; the other order leaves nothing proved."""
    job = job_otherwise("probe-order", value)
    step = step_at(job, "prove-dead/pairs")
    assert step is not None
    asked_now = [slot.cell for slot in slots_of(job, step) if slot.cell.id.endswith("-first")]
    walker = at_the_pairs(job)
    walker.give(walker.answer("fail", lambda slot: slot.cell.id == cell))

    assert [found.id for found in asked_now] == [cell]
    assert asked_now[0].states[0].seen == seen
    assert walker.state.facts["dead test"] == "none"
    assert walker.state.facts["indicator"] == "unproved"


UNKNOWN_ZE = ("external impedance: 0.35 ohm, record", "external impedance: unknown")


@pytest.mark.parametrize("sign_off", ["supervised", "reviewed later"])
def test_the_earthing_conductor_is_parted_between_two_people(sign_off: str) -> None:
    """Parted, read, remade, read end to end and read back at hold point six, before anything is closed (INV-17)."""
    changes = [UNKNOWN_ZE, ("sign-off: supervised", f"sign-off: {sign_off}")]
    walker = walked("external-impedance-reading", "parted", "supervised", changes)
    order = order_of(walker)
    parted = ["part-earthing/part", "external-impedance/read-parted", "remake-earthing/remake", "read-earthing/read",
              "hold-six/sign", "give-back-main-switch/close"]  # fmt: skip

    assert walker.state.outcome == "complete"
    assert [step for step in order if step in parted] == parted
    assert walker.record.broken == []
    assert {role for role, _, _ in walker.state.signed["six"]} == {"technician", "supervisor"}


def test_one_person_alone_never_parts_the_earthing_conductor() -> None:
    """Hold point six does not exist alone: such a card is refused before a log is opened (trade brief §11.1)."""
    with pytest.raises(BadFile, match="hold point six does not exist"):
        job_otherwise("external-impedance-reading", "parted", changes=[UNKNOWN_ZE])

    assert HOLD_POINTS["six"].signers("alone") == ()


@pytest.mark.parametrize(
    "act", ["give back the main switch", "close the way", "give back a second source", "read fault current"]
)
@pytest.mark.parametrize("earthing", ["off", "remade", "unverified"])
def test_nothing_closes_while_the_earthing_conductor_is_off(act: str, earthing: str) -> None:
    """Off or put back without hold point six, every closing and every reading that leans on earth stays shut."""
    needs = [need for need in ACTS[act].needs if need.fact == "earthing"]

    assert needs
    assert all(earthing not in need.values for need in needs)


def test_a_reading_of_the_earthing_conductor_that_is_struck_out_shuts_the_board_again() -> None:
    """Hold point six falls with its reading, and with it what it had released."""
    walker = Walker.begin(job_otherwise("external-impedance-reading", "parted", "supervised", [UNKNOWN_ZE]))
    walker.until("fault-current/read")
    assert walker.state.facts["earthing"] == "released"
    entry = next(n for n, done in walker.state.done.items() if done.step == "read-earthing/read")
    walker.give(c.Correct(walker.state.operator, walker.stamp(), entry, "read with another lead"))

    assert walker.state.facts["earthing"] == "remade"
    assert walker.state.facts["hold:six"] == "unsigned"
    assert walker.state.step == "read-earthing/read"


def test_a_reading_of_the_earthing_conductor_that_fails_is_remade_first() -> None:
    """A clamp that does not touch is made again before it is read again; nobody looks it right."""
    walker = Walker.begin(job_otherwise("external-impedance-reading", "parted", "supervised", [UNKNOWN_ZE]))
    walker.until("read-earthing/read")
    walker.give(walker.answer("fail", lambda _: True))

    assert walker.state.facts["check:earthing conductor"] == "failed"
    assert walker.state.step == "remake-earthing/remake"
    assert Walker.walk(walker).state.outcome == "complete"


def test_every_choice_of_a_step_is_asked_by_some_step_or_goal() -> None:
    """A setting that nobody reads would be a promise without effect."""
    job = job_otherwise("button-order", "after-timing")
    parts = [*job.plan.goals, *job.plan.suppliers]
    steps = [step for procedure in job.procedures.values() for step in procedure.steps]
    asked_for = {said.fact for part in (*parts, *steps) for said in part.when}
    asked_for |= {said.fact for step in steps for cell in step.cells for said in cell.when}

    assert set(CHOICE_FACTS) <= asked_for
