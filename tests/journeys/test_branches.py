"""Each of the 25 fault branches, driven from its symptom to its repair or end, and on to the close of the log."""

from __future__ import annotations

from dataclasses import replace

import pytest

from ferrule.engine.procedure.compiled import Job, Step
from ferrule.engine.safety.acts import ACTS
from ferrule.engine.safety.disturbances import DISTURBANCES
from ferrule.engine.safety.facts import RESULTS
from ferrule.engine.safety.holds import HOLD_POINTS
from ferrule.engine.safety.voids import voided
from ferrule.engine.walk import commands as c
from ferrule.engine.walk import events as e
from ferrule.engine.walk.access import Refusal
from ferrule.engine.walk.decide import decide
from ferrule.engine.walk.place import gate
from tests.editions.editions import UK_BEFORE, job_under, limits_of
from tests.support.branches import Branch, Driven, table
from tests.support.jobs import job_of

ROWS = table()
CARDS = {
    "reference": "saltmarsh-kr1-way-4",
    "radial": "radial-5",
    "split load": "shower-split-load",
    "supervised": "supervised",
}
SEARCHES = (
    "look for a fault",
    "hold the insulation against the trip",
    "read to find a fault",
    "read live to find a fault",
    "read the device alone",
)
CLAMPS = ("clamp the leakage as found", "clamp the leakage as fitted")
KEPT_APART = ("diagnostic/", "board/")
"""Where readings of a search are kept; no other step reads or expects them."""
RING = ("ring step one", "ring step two", "ring step three")
INSULATION = ("insulation", "insulation together")
LANDING = ("landing line to earth", "landing line to neutral", "landing insulation")


def job_for(card: str) -> Job:
    """Return the job that a row of the table is walked on."""
    return job_under(limits_of(UK_BEFORE)) if card == "older edition" else job_of(CARDS[card])


def named(branch: Branch) -> str:
    """Return a name for a row that tells it from the others."""
    return f"{branch.branch}-{branch.path[-1].partition(':')[0].replace('/', '-')}"


def act_of(job: Job, where: str) -> str:
    """Return the act of the step that an entry of a way names."""
    name, _, step_id = where.partition(": ")[0].partition(" = ")[0].partition("/")
    return next(s.act for s in job.procedures[name].steps if s.id == step_id)


def test_all_branches_are_in_the_table() -> None:
    """The table has each branch of the trade at least once, with its source and what it ends in."""
    assert {row.branch for row in ROWS} == {f"B{n}" for n in range(1, 26)}
    assert all(row.source and row.ends_in and row.symptom for row in ROWS)
    assert all(row.void <= set(RESULTS) for row in ROWS)


@pytest.mark.parametrize("row", ROWS, ids=named)
def test_branch_leads_from_its_symptom_to_its_retest_or_end(row: Branch) -> None:
    """The symptom leads into the search, the repair opens just these results, and the walk stands at the retest.

    Shows: DV-05
    """
    driven = Driven.begin(job_for(row.card))
    driven.start(row)
    void = driven.follow(row)
    stands = driven.procedure
    driven.walker.walk(600)

    assert void == row.void
    assert stands == row.stands
    assert driven.walker.state.outcome == ("made safe" if row.stands == "hands-out" else "complete")
    assert driven.walker.record.broken == []
    assert driven.walker.world.harm == []


@pytest.mark.parametrize("row", [r for r in ROWS if r.void and r.stands != "hands-out"], ids=named)
def test_what_went_void_is_read_again_before_the_end(row: Branch) -> None:
    """Each result that a branch made void has been read anew, as a test of its own, by the time the log is closed."""
    driven = Driven.begin(job_for(row.card))
    driven.start(row)
    driven.follow(row)
    since = len(driven.walker.trail)
    driven.walker.walk(600)
    read = set()
    for _, events in driven.walker.trail[since:]:
        read |= {x.result for x in events if isinstance(x, e.ResultRested)}
    still = {r for r in row.void if driven.walker.state.facts[f"result:{r}"] not in ("pass", "not required")}

    assert not still
    assert row.void - read <= _read_on_the_way(driven, since)


def _read_on_the_way(driven: Driven, since: int) -> set[str]:
    """Results that were read anew inside the branch itself, before its last step."""
    return {x.result for _, events in driven.walker.trail[:since] for x in events if isinstance(x, e.ResultRested)}


def searches() -> list[tuple[str, Step]]:
    """Return every step of the set that only looks or reads for a fault."""
    job = job_of()
    wanted = (*SEARCHES, *CLAMPS)
    return [(p.id, s) for p in job.procedures.values() for s in p.steps if s.act in wanted]


def test_a_reading_of_a_search_never_counts_as_a_pass() -> None:
    """No act of a search sets a result, and what it reads is kept apart from what the tests read.

    Shows: DV-05
    """
    found = searches()
    formal = {
        cell.slot
        for procedure in job_of().procedures.values()
        for step in procedure.steps
        if step.act not in (*SEARCHES, *CLAMPS)
        for cell in step.cells
    }

    assert len(found) > 40
    for name in (*SEARCHES, *CLAMPS):
        act = ACTS[name]
        assert not act.voids
        assert not [x for given in act.effects.values() for x in given if x.fact.startswith("result:")]
    slots = {cell.slot for _, step in found for cell in step.cells if cell.function}
    assert all(slot.startswith(KEPT_APART) for slot in slots)
    assert not slots & formal


def standing(job: Job) -> dict[str, str]:
    """Return facts in which every result of a job has passed."""
    facts = dict(Driven.begin(job).walker.state.facts)
    return {k: "pass" if k.startswith("result:") and v != "not required" else v for k, v in facts.items()}


RETEST = [
    ("accessory opened", "", (*RING, *INSULATION, "polarity", "loop impedance")),
    (
        "cable or joint disturbed",
        "",
        ("separation", "protective conductor", *RING, *INSULATION, "polarity", "loop impedance"),
    ),
    ("terminal disturbed", "load-line", (*LANDING[:2], "loop impedance", "residual time", "button")),
    ("terminal disturbed", "load-neutral", (*LANDING[:2], "loop impedance", "residual time", "button")),
    ("terminal disturbed", "neutral-bar", ("loop impedance", "residual time", "button")),
    ("terminal disturbed", "earth-bar-one", (LANDING[0], "loop impedance")),
    ("terminal disturbed", "busbar-line", (*LANDING, "loop impedance", "residual time", "button")),
    ("earthing or bonding disturbed", "", ("bonding", "external impedance", "fault current")),
    ("main switch terminal disturbed", "", ("incoming supply", "external impedance", "fault current")),
    ("load was left in", "", (*INSULATION, LANDING[2])),
]
"""What a report makes void, row by row of the retest table (trade brief 11.2, common practice)."""


@pytest.mark.parametrize(("what", "of", "wanted"), RETEST, ids=lambda x: x if isinstance(x, str) else "")
def test_a_report_makes_void_what_the_retest_table_names(what: str, of: str, wanted: tuple[str, ...]) -> None:
    """Each row of the retest table as a report: just these results go void, and no others."""
    job = job_of()
    lost = set(voided(DISTURBANCES[what].void_rules, (of,), standing(job), job.objects))

    assert lost == set(wanted)


REPAIRS = [
    ("remake an accessory", "", (*RING, *INSULATION, "polarity", "loop impedance")),
    (
        "remake a joint or cable",
        "",
        ("separation", "protective conductor", *RING, *INSULATION, "polarity", "loop impedance"),
    ),
    ("remake a device terminal", "load-line", (*LANDING[:2], "loop impedance", "residual time", "button")),
    ("remake a device terminal", "neutral-bar", ("loop impedance", "residual time", "button")),
    ("remake a device terminal", "earth-bar-two", (LANDING[0], "loop impedance")),
    ("remake the main bonding", "", ("bonding", "external impedance", "fault current")),
    ("quarantine the device", "", (*LANDING, "loop impedance", "residual time", "button")),
    ("fit the device", "", (*LANDING, "loop impedance", "residual time", "button")),
    ("seat the device again", "", (*LANDING, "loop impedance", "residual time", "button")),
]
"""What a repair makes void, row by row of the retest table (trade brief 11.2, common practice)."""


@pytest.mark.parametrize(("act", "of", "wanted"), REPAIRS, ids=lambda x: x if isinstance(x, str) else "")
def test_a_repair_makes_void_what_the_retest_table_names(act: str, of: str, wanted: tuple[str, ...]) -> None:
    """Each row of the retest table as a repair: just these results go void, and no others."""
    job = job_of()

    assert set(voided(ACTS[act].void_rules, (of,), standing(job), job.objects)) == set(wanted)


def test_on_a_radial_an_accessory_also_asks_for_its_protective_conductor() -> None:
    """Without ring steps the reading at each point is what shows the accessory again."""
    job = job_of("radial-5")
    lost = set(voided(ACTS["remake an accessory"].void_rules, ("",), standing(job), job.objects))

    assert "protective conductor" in lost


def test_a_terminal_without_a_part_counts_with_every_part() -> None:
    """A card that does not say what a terminal belongs to asks for more tests, never for fewer."""
    job = job_of()
    everything = {"load terminal": ("odd",), "supply terminal": ("odd",), "lead terminal": ("odd",)}
    lost = set(voided(ACTS["remake a device terminal"].void_rules, ("odd",), standing(job), everything))

    assert lost == {*LANDING, "loop impedance", "residual time", "button"}


# --- branches with a rule of their own


def branch(name: str, of: int = 0) -> Branch:
    """Return one of the rows of a branch."""
    return [row for row in ROWS if row.branch == name][of]


def test_after_a_trip_nothing_closes_before_insulation_and_cause() -> None:
    """B16: no second try; the way is shut until the insulation has passed again and the cause is written down.

    Shows: WB-04
    """
    driven = Driven.begin(job_of())
    driven.start(branch("B16"))
    closing = next(s for s in driven.walker.job.procedures["close-the-way"].steps if s.act == "close the way")
    at_once = {n.fact for n in gate(driven.walker.job, closing, driven.walker.state.facts)}
    driven.follow(branch("B16"))
    driven.to("close-the-way/close")
    acts = driven.acts

    assert {"trip cause", "result:insulation", "result:landing insulation", "device"} <= at_once
    assert "close the way" not in acts[1:]
    assert acts.index("read insulation") < acts.index("close the device alone") < acts.index("say where the fault lies")


def test_a_few_volts_are_never_settled_by_one_person_alone() -> None:
    """B3: without a supervisor on the card nobody may take a few volts for induced; the job can only stop.

    Shows: VR-11
    """
    row = replace(branch("B3"), card="reference")
    driven = Driven.begin(job_of())
    driven.start(row)
    driven.answer({}, "a few volts only")
    walker = driven.walker
    step = walker.step()
    assert step is not None
    walker.give(walker.answer())
    cells = tuple(replace(a, entered="falls away") if a.cell == "shows" else a for a in walker.answer().cells)
    walker.give(c.Answer(walker.state.operator, walker.stamp(), walker.state.step, cells))
    assert walker.state.pending is not None
    who = [p.id for p in walker.job.card.people]
    tried = [c.Settle(p, walker.stamp(), walker.state.step, "pass", "induced, it falls away") for p in who]

    assert all(isinstance(decide(walker.job, walker.state, t), Refusal) for t in tried)
    walker.give(walker.settle("fail"))
    assert walker.state.facts["work"] == "stopped"


def test_a_condemned_device_is_never_closed_again() -> None:
    """B22: once the device is written down as faulty, every act through it is shut and another must be judged.

    Shows: WB-04
    """
    driven = Driven.begin(job_of())
    row = branch("B22")
    driven.start(row)
    for entry in row.path[:4]:
        where, _, seen = entry.partition(": ")
        driven.to(where)
        driven.answer({}, seen)
    facts = driven.walker.state.facts
    job = driven.walker.job
    through = ("close the way", "close the device alone", "land the conductors", "press the test button")
    open_now = [
        f"{p.id}/{s.id}"
        for p in job.procedures.values()
        for s in p.steps
        if s.act in through and not gate(job, s, facts)
    ]

    assert facts["device"] == "quarantined"
    assert (facts["check:device in hand"], facts["hold:four"]) == ("open", "unsigned")
    assert open_now == []


def test_an_apprentice_never_closes_on_parked_ends() -> None:
    """A parked close is refused to an apprentice, even with the supervisor beside them (invariant 48)."""
    job = job_of("supervised")
    apprentice = next(p for p in job.card.people if "apprentice" in p.roles)
    driven = Driven.begin(job)
    row = replace(branch("B22"), card="supervised")
    driven.start(row)
    driven.to(row.path[0].partition(": ")[0])
    driven.answer({}, row.path[0].partition(": ")[2])
    driven.to("device-alone/close")
    supervisor = next(p.id for p in job.card.people if "supervisor" in p.roles)
    driven.walker.give(c.SayPresence(supervisor, driven.walker.stamp(), True))
    asked = c.StampRound(apprentice.id, driven.walker.stamp(), driven.walker.state.step, "start")
    found = decide(job, driven.walker.state, asked)

    assert isinstance(found, Refusal)
    assert (found.code, found.kept) == ("wrong-role", True)


def test_a_search_goes_on_where_a_gate_held_it_up() -> None:
    """B19: the question is asked once; after lock, cover, proof and hold point two the walk stands at the next look.

    Shows: WB-02
    """
    driven = Driven.begin(job_of())
    row = branch("B19")
    driven.start(row)
    driven.answer({}, "nothing at any socket, device on")
    heading = driven.walker.state.heading
    driven.to("find-loop-fault/no-supply")
    asked = [x.step for _, events in driven.walker.trail for x in events if isinstance(x, e.Answered)]

    assert heading == "find-loop-fault/no-supply"
    assert driven.walker.state.heading == ""
    assert asked.count("find-loop-fault/pattern") == 1
    assert asked[-1].startswith("prove-dead/")


@pytest.mark.parametrize("happens", ["instrument dropped or damaged", "somebody had access"])
def test_a_search_is_given_up_when_something_happens(happens: str) -> None:
    """What a search was on its way to counts no more once something happened from outside: the goals lead on."""
    driven = Driven.begin(job_of())
    driven.start(branch("B19"))
    driven.answer({}, "nothing at any socket, device on")
    driven.report(happens)

    assert driven.walker.state.heading == ""
    assert driven.walker.walk(600).state.outcome == "complete"


# --- hold points

EVIDENCE = {
    "one": ("check:risk", "check:authority", "check:instruments", "check:as found"),
    "two": ("check:sources", "source:mains", "lock:mains", "dead test", "zone:busbar", "hold:three"),
    "three": ("cover", "source:mains", "lock:inverter"),
    "four": ("check:device on paper", "check:device in hand"),
    "five": ("result:bonding", "result:polarity", "result:landing insulation", "terminal:load-line", "hold:four"),
    "seven": ("result:incoming supply", "result:loop impedance", "result:residual time", "device"),
    "eight": ("result:button", "press:first", "press:second", "device"),
    "nine": ("hold:eight", "source:mains", "lock:mains", "check:record written", "check:briefing", "check:counted"),
    "made safe": ("check:people told", "cover"),
}
"""Evidence that must stand before each hold point (trade brief 2.1); links and items besides, by their own tests."""


@pytest.mark.parametrize("card", ["saltmarsh-kr1-way-4", "supervised", "radial-5"])
def test_every_hold_point_is_reached_and_signed_by_its_roles(card: str) -> None:
    """On the way to a close, and to a stop, each hold point is come to once and signed by every role it wants.

    Shows: VR-06
    """
    job = job_of(card)
    driven = Driven.begin(job)
    driven.walker.walk(600)
    stopped = Driven.begin(job)
    stopped.to_result("polarity")
    stopped.give(c.StopWork(stopped.walker.state.operator, stopped.walker.stamp(), "weather"))
    stopped.walker.walk(600)
    signed: dict[str, set[str]] = {}
    for _, events in (*driven.walker.trail, *stopped.walker.trail):
        for event in events:
            if isinstance(event, e.Signed):
                signed.setdefault(event.hold, set()).add(event.role)

    assert signed == {name: set(HOLD_POINTS[name].signers(job.card.sign_off)) for name in EVIDENCE}


@pytest.mark.parametrize("name", EVIDENCE)
def test_a_hold_point_lists_its_evidence(name: str) -> None:
    """The release of a hold point needs each thing that the trade wants in the log before it is signed."""
    job = job_of()
    step = next(
        s
        for p in job.procedures.values()
        for s in p.steps
        if s.kind == "hold" and s.act == f"release hold point {name}"
    )
    blank = dict.fromkeys(Driven.begin(job).walker.state.facts, "no evidence")
    wanted = {n.fact for n in gate(job, step, blank)}

    assert set(EVIDENCE[name]) <= wanted
