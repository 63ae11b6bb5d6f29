"""Card, plan, procedures and limits load into the compiled form, and every fault of every file is told at once."""

from decimal import Decimal

import pytest

from ferrule.engine.electrics.limits import Bound, Compares, Guard, Outcome
from ferrule.engine.electrics.model import How, Known, Point
from ferrule.engine.findings import BadFile, Level
from ferrule.engine.procedure.compiled import Check, Condition, Goal, State, Step, Warned
from ferrule.engine.procedure.load import (
    compile_job,
    compile_parts,
    load_card,
    load_limits,
    load_plan,
    load_procedure,
)
from ferrule.engine.procedure.words import CARD_FACTS
from tests.procedure.cases import good, good_set


def steps_of(name: str) -> dict[str, Step]:
    """The steps of one procedure of the small set by their ids."""
    return {step.id: step for step in compile_job(good_set()).procedures[name].steps}


def procedure_of(steps: str) -> str:
    """A procedure with these steps."""
    return f"procedure: made\nrevision: 1\ntitle: Made\npurpose: To be read.\nsteps:\n{steps}"


def step_of(text: str) -> Step:
    """The first step of a procedure that is sound."""
    procedure, found = load_procedure(procedure_of(text), "made.yaml")
    assert procedure is not None, found
    return procedure.steps[0]


def test_a_card_keeps_every_value_as_it_is_known() -> None:
    """A card's numbers are exact, in the model's units, each with the way it is known; unknown stays unknown."""
    card, found = load_card(good("card", "small-job"), "card.yaml")

    assert found == ()
    assert card is not None
    assert card.circuit.length_m == Known(Decimal(60), How.RECORD)
    assert card.circuit.points[1].distance_m == Known(Decimal(28), How.ASSUMED)
    assert card.circuit.points[2] == Point(
        "P1", "shelf", Known(None, How.UNKNOWN), "S2", Known(Decimal(6), How.MEASURED)
    )
    assert card.temperature_c == Known(None, How.UNKNOWN)
    assert (card.supply.phases, card.supply.nominal_v) == (1, Decimal(230))
    assert [source.wait_min for source in card.sources] == ["0", "5"]
    line, bar = card.device.terminals
    assert (line.low_nm, line.high_nm, line.nominal_nm) == (Decimal("2.0"), Decimal("2.5"), None)
    assert (bar.low_nm, bar.high_nm, bar.nominal_nm) == (None, None, Decimal("1.2"))
    tester = card.instruments[0].functions[0]
    assert (tester.unit, tester.error_pct, tester.error_digits) == ("ohm", Decimal(3), Decimal(3))


def test_a_plan_keeps_its_order_and_its_patterns() -> None:
    """Goals stay in order, a fact keeps its pattern, and conditions keep their alternatives."""
    text = good("plan", "small-plan").replace("users is told", '"source [main source] is on"')
    plan, found = load_plan(text, "plan.yaml")

    assert found == ()
    assert plan is not None
    assert plan.goals[3] == Goal(
        "source:[main source]", ("on",), "tell-users", (Condition("work", ("replace", "add")),)
    )
    assert [goal.by for goal in plan.suppliers] == ["condition", "replace-indicator", "prove-indicator"]


def test_a_band_is_read_into_the_unit_of_its_row() -> None:
    """Bounds are exact in the row's unit, open or closed as the words say, or the name of a figure."""
    limits, found = load_limits(good("limits", "small-limits"), "limits.yaml")

    assert found == ()
    assert limits is not None
    assert (limits.withdrawn_on, limits.settings["loop-rule"]) == ("", "two-thirds")
    middle = limits.rows["lead-null"].bands[1]
    assert middle.outcome is Outcome.CONDITIONAL_FAIL
    assert (middle.low, middle.high) == (Bound(Decimal("0.05"), "", False), Bound(Decimal("0.1"), "", False))
    loop = limits.rows["loop"]
    assert (loop.guard, loop.bands[0].high) == (Guard.UNCERTAINTY, Bound(None, "loop.limit", True))
    assert (limits.rows["alike"].compares, limits.rows["alike"].settle_alone) == (Compares.DIFFERENCE, True)


def test_answers_nobody_writes_lead_where_the_table_says() -> None:
    """Pass leads on, doubt goes to the supervisor, an unstable reading is taken again; what is written wins."""
    measured, done = steps_of("null-leads")["null"], steps_of("replace-indicator")["swap"]

    assert measured.answers == {
        "pass": "next",
        "conditional-pass": "ask",
        "conditional-fail": "ask",
        "unstable": "again",
        "not-measured": "ask",
        "fail": "procedure:find-lead",
    }
    assert done.answers == {"pass": "next", "done": "next"}


def test_a_target_is_a_step_before_it_is_a_procedure() -> None:
    """An answer leads to the step of its name where there is one, else to the procedure of its name."""
    assert steps_of("find-lead")["each"].answers["fail"] == "step:change"
    assert steps_of("prove-indicator")["unit"].answers["fail"] == "procedure:replace-indicator"


def test_a_look_for_a_fault_is_answered_with_its_own_states() -> None:
    """Where the act changes nothing, a state may be an answer of its own, or stand for a word of its own."""
    seen = steps_of("walk-round")["seen"]

    assert seen.cells[0].states == (State("nobody", "nobody"), State("somebody", "asleep"))
    assert (seen.answers["nobody"], seen.answers["asleep"]) == ("end", "step:wake")
    keyed = step_of(
        "  - id: a\n    observe: Look.\n    act: look for a fault\n    states:\n      - wet: pass\n      - dry: pass\n"
        "    answers:\n      - wet: stop\n"
    )
    assert keyed.cells[0].states == (State("wet", "wet"), State("dry", "pass"))


def test_a_cell_may_be_asked_once_at_the_end_of_a_round() -> None:
    """A cell with `once` is kept as such; the other cells of the round are asked at each entry."""
    cells = steps_of("check-instruments")["look"].cells

    assert [cell.once for cell in cells] == [False, False, True]


@pytest.mark.parametrize(
    "step",
    [
        "round: Look.\n    act: look for a fault\n    cells:\n      - {see: It, once: true, states: [a: pass]}\n",
        "observe: Look.\n    act: look for a fault\n    cells:\n      - {see: It, once: true, states: [a: pass]}\n",
    ],
)
def test_once_has_a_meaning_only_in_a_round_through_a_list(step: str) -> None:
    """Outside a round that goes through a list, `once` says nothing and is refused."""
    _, found = load_procedure(procedure_of(f"  - id: a\n    {step}"), "made.yaml")

    assert [(finding.code, finding.message) for finding in found] == [
        ("wrong-value", "A cell is asked once only in a round that goes through a list.")
    ]


def test_a_check_stands_between_two_readings_or_beside_what_is_expected() -> None:
    """A check names two kept readings, or one with the figure that it is held against."""
    assert steps_of("find-lead")["each"].checks == (Check("alike", "one", "other"),)
    text = good("procedure", "find-lead").replace("between: [one, other]", "between: [one]")
    assert [f.code for f in load_procedure(text, "f.yaml")[1]] == ["wrong-value"]
    procedure, found = load_procedure(text.replace("[one]", "[one]\n        expect: ring.step-two"), "f.yaml")
    assert found == ()
    assert procedure is not None
    assert procedure.steps[0].checks == (Check("alike", "one", "", "ring.step-two"),)


def test_a_step_keeps_its_warning_as_a_record() -> None:
    """A warning keeps severity, hazard, consequence and avoidance; without one of them it does not load.

    Shows: PA-05
    """
    text = good("procedure", "tell-users")
    assert steps_of("tell-users")["tell"].warnings == (
        Warned("notice", "Work that is lost", "A computer goes off", "Ask before the circuit goes off."),
    )
    for key in ("severity", "hazard", "consequence", "avoid"):
        line = next(line for line in text.splitlines() if f"{key}:" in line)
        spoiled = text.replace(line, line.replace(f"{key}: ", f"x{key}: "))
        found = [finding for finding in load_procedure(spoiled, "f.yaml")[1] if finding.code == "missing-key"]
        assert [finding.message for finding in found] == [f'The key "{key}" is missing here.']


def test_a_hold_and_an_end_name_their_acts() -> None:
    """A hold point's act follows from its name, and an end says how the log is closed by its act."""
    hold = step_of("  - id: a\n    hold: Sign.\n    point: two\n")
    end = step_of("  - id: a\n    end: Close.\n    act: close the log as made safe\n")

    assert (hold.act, hold.answers) == ("release hold point two", {"pass": "next", "done": "next"})
    assert (end.outcome, end.answers) == ("made safe", {})


def test_a_step_of_a_form_without_faults_has_its_line() -> None:
    """A compiled step knows the line that it begins on, for counterexamples."""
    lines = good("procedure", "find-lead").splitlines()

    assert lines[steps_of("find-lead")["rest"].line - 1] == "  - id: rest"


def test_the_card_is_folded_to_words_and_objects() -> None:
    """A job holds the card's conditions as words and its objects by family."""
    job = compile_job(good_set())

    assert set(job.card_facts) == set(CARD_FACTS)
    assert all(value in CARD_FACTS[fact] for fact, value in job.card_facts.items())
    assert (
        job.card_facts.items()
        >= {
            "circuit": "ring",
            "earthing": "TN-C-S",
            "phases": "one",
            "sign-off": "alone",
            "work": "replace",
            "tails": "live",
            "old device": "single-pole",
            "functional earth lead": "none",
            "items": "none",
            "second source": "some",
            "external impedance": "recorded",
            "spurs": "some",
            "residual test": "one-times",
            "use": "sockets",
            "two-way switching": "none",
            "points without earth": "none",
            "board": "whole",
            "upstream type": "none",
            "main switch": "leaves the neutral",
            "device poles": "double",
            "late leads": "none",
        }.items()
    )
    assert (
        job.objects.items()
        >= {
            "source": ("mains", "inverter"),
            "main source": ("mains",),
            "second source": ("inverter",),
            "terminal": ("load-line", "neutral-bar"),
            "early terminal": ("load-line", "neutral-bar"),
            "late terminal": (),
            "unearthed point": (),
            "section device": (),
            "three-phase board": (),
            "item": (),
        }.items()
    )


def test_all_faults_of_all_files_are_told_at_once() -> None:
    """One reading of a set tells a fault in each file and several in one, each at its own place."""
    changed = {
        "card": ("rating: 32 A", "rating: 32 V"),
        "plan": ("by: see-live", "by: see-life"),
        "limits": ("guard: uncertainty", "guard: certainty"),
        "procedure": ("act: null the leads\n", "act: null leads\n    wich: x\n"),
    }
    texts = [(role, name, text.replace(*changed[role])) for role, name, text in good_set()]
    with pytest.raises(BadFile) as raised:
        compile_job(texts)

    told = {(f.code, f.place.file) for f in raised.value.findings if f.place}
    assert {
        ("unit-mismatch", "card/small-job"),
        ("unknown-procedure", "plan/small-plan"),
        ("wrong-value", "limits/small-limits"),
        ("unknown-act", "procedure/null-leads"),
        ("unknown-key", "procedure/null-leads"),
    } == told


def test_a_fault_brings_no_echo() -> None:
    """A part that could not be read is not told a second time by those that refer to it."""
    texts = [
        (role, name, text.replace("steps:", "steps: [") if name == "walk-round" else text)
        for role, name, text in good_set()
    ]
    _, found = compile_parts(texts)

    assert {f.place.file for f in found if f.place} == {"procedure/walk-round"}


def test_a_value_never_comes_beside_an_error() -> None:
    """A file with an error gives no value, even where a stand-in let the rest be looked at."""
    card, found = load_card(good("card", "small-job").replace("title: Replace", "titel: Replace"), "card.yaml")

    assert card is None
    assert {finding.code for finding in found} == {"missing-key", "unknown-key"}


def test_what_is_out_of_date_is_a_warning_on_the_day_asked_about() -> None:
    """Without a day nothing is out of date; on a later day the card still loads and says what ran out."""
    text = good("card", "small-job")

    assert load_card(text, "card.yaml", "2027-03-01")[1] == ()
    card, found = load_card(text, "card.yaml", "2027-03-02")
    assert card is not None
    assert {finding.level for finding in found} == {Level.WARNING}
    assert len(found) == 3


def test_a_limit_without_source_or_with_another_unit_does_not_load() -> None:
    """A row without its source, or with a band in another kind of unit, is refused.

    Shows: PA-10, PA-23
    """
    text = good("limits", "small-limits")
    for old, new, code in (
        ("    source: invented\n    basis: common practice\n  - row: loop", "  - row: loop", "no-source"),
        ("above 50 mohm to below 100 mohm", "above 50 mA to below 100 mA", "unit-mismatch"),
    ):
        limits, found = load_limits(text.replace(old, new, 1), "limits.yaml")
        assert limits is None
        assert code in {finding.code for finding in found}


@pytest.mark.parametrize("key", ["needs", "requires", "effects", "sets", "stale", "voids", "limit", "bands", "min"])
def test_a_step_may_not_carry_what_belongs_to_acts_or_limits(key: str) -> None:
    """Needs, effects and limits in a step are refused by name, in a step and in a cell."""
    text = good("procedure", "find-lead")
    for spot in ("    through: sockets\n", "        keep: other\n"):
        indent = " " * (len(spot) - len(spot.lstrip()))
        _, found = load_procedure(text.replace(spot, f"{spot}{indent}{key}: x\n"), "f.yaml")

        assert [finding.code for finding in found] == ["forbidden-in-step"]
        assert f'"{key}"' in found[0].message


def test_a_role_that_is_no_role_is_an_error_of_the_caller() -> None:
    """A text with an unknown role is a broken promise of the code, not a fault of a file."""
    with pytest.raises(ValueError, match="no role"):
        compile_parts([("table", "x", "")])
