"""Judgement: outcomes at and around the limits, guard bands, bounds, and the sentences."""

from __future__ import annotations

from collections.abc import Callable
from dataclasses import replace
from decimal import Decimal, localcontext

import pytest

from ferrule.engine.electrics.figures import Figure, Inputs, Unknown, compute
from ferrule.engine.electrics.judge import Verdict, judge
from ferrule.engine.electrics.limits import Band, Bound, Compares, Guard, Outcome, Row
from ferrule.engine.electrics.model import Function, How, Known
from ferrule.engine.findings import FerruleError
from ferrule.engine.quantity.errors import QuantityError
from ferrule.engine.quantity.reading import Reading

METER = Function("low ohms", "ohm", Decimal("0.01"), Decimal(2000), None, Decimal(3), Decimal(2), "card")


def at(value: str, *, closed: bool) -> Bound:
    """A bound by number."""
    return Bound(Decimal(value), "", closed)


def by(figure: str, *, closed: bool) -> Bound:
    """A bound by figure."""
    return Bound(None, figure, closed)


def row(*bands: Band, **rest: object) -> Row:
    """A limits row of our own, in ohms."""
    made = Row("zs", "Zs", "ohm", Compares.VALUE, bands, Guard.NONE, False, "Table 41.3", "published")
    return replace(made, **rest)  # type: ignore[arg-type]


def up_to(value: str, **rest: object) -> Row:
    """Pass up to a number, fail above it."""
    low, high = at(value, closed=False), at(value, closed=True)
    return row(
        Band(Outcome.PASS, None, high, f"up to {value}"), Band(Outcome.FAIL, low, None, f"above {value}"), **rest
    )


def below(value: str, **rest: object) -> Row:
    """Pass below a number, fail from it on."""
    low, high = at(value, closed=True), at(value, closed=False)
    return row(Band(Outcome.PASS, None, high, f"below {value}"), Band(Outcome.FAIL, low, None, f"from {value}"), **rest)


LOOP = row(
    Band(Outcome.PASS, None, by("loop.limit", closed=True), "up to loop.limit"),
    Band(Outcome.FAIL, by("loop.limit", closed=False), None, "above loop.limit"),
)
LEG = up_to(
    "0.05",
    id="ring-leg",
    title="rn",
    compares=Compares.DIFFERENCE,
    guard=Guard.REPEATABILITY,
    source="handbook rule",
    basis="common practice",
)
INSULATION = row(
    Band(Outcome.FAIL, None, at("1", closed=False), "below 1 Mohm"),
    Band(Outcome.CONDITIONAL_PASS, at("1", closed=True), at("2", closed=False), "from 1 Mohm to below 2 Mohm"),
    Band(Outcome.PASS, at("2", closed=True), None, "from 2 Mohm"),
    id="insulation",
    title="Insulation",
    unit="Mohm",
)
TIME = below("300", title="Trip time", unit="ms")


def read(value: str, unit: str = "ohm", resolution: str | None = "0.01") -> Reading:
    """A plain reading."""
    return Reading.measured(Decimal(value), unit, resolution=None if resolution is None else Decimal(resolution))


def none(_name: str) -> Figure | Unknown:
    """For rows whose bounds are all numbers."""
    raise AssertionError("no figure was to be asked for")


def plain(
    reading: Reading,
    limits: Row,
    *,
    expected: Figure | Unknown | None = None,
    other: Reading | None = None,
    function: Function | None = None,
) -> Verdict:
    """A judgement by a row that names no figure."""
    return judge(reading, limits, figure_of=none, expected=expected, other=other, function=function)


def one(name: str, low: str, high: str | None = None, **rest: object) -> Figure:
    """A figure of our own."""
    made = Figure(name, Decimal(low), Decimal(high or low), "ohm", "f", "p", "own calculation", (), ())
    return replace(made, **rest)  # type: ignore[arg-type]


@pytest.mark.parametrize(
    ("limits", "value", "outcome"),
    [
        (up_to("300"), "300", Outcome.PASS),
        (below("300"), "300", Outcome.FAIL),
        (up_to("300"), "301", Outcome.FAIL),
        (below("300"), "299", Outcome.PASS),
        (up_to("0.3"), str(Decimal("0.1") + Decimal("0.2")), Outcome.PASS),
        (below("0.3"), str(Decimal("0.1") + Decimal("0.2")), Outcome.FAIL),
        (up_to("1.096"), "1.09", Outcome.PASS),
        (up_to("1.096"), "1.10", Outcome.FAIL),
        (up_to("1.1"), "1.10", Outcome.PASS),
    ],
)
def test_comparison_is_exact(limits: Row, value: str, outcome: Outcome) -> None:
    """Shows: WB-06. "Up to" and "below" differ at the limit, and 0.1 + 0.2 is 0.3."""
    assert plain(read(value, resolution=None), limits).outcome is outcome


def test_limit_of_the_demo_device_is_exact(demo: Inputs) -> None:
    """1.09 Ω passes 0.8 × 1.37 = 1.096 Ω and 1.10 Ω does not, though 1.10 is what the limit rounds to."""
    verdicts = [
        judge(read(value), LOOP, figure_of=lambda name: compute(name, demo), expected=None)
        for value in ("1.09", "1.10")
    ]

    assert [verdict.outcome for verdict in verdicts] == [Outcome.PASS, Outcome.FAIL]
    assert {verdict.limit for verdict in verdicts} == {"up to 1.096 ohm"}
    assert [verdict.margin for verdict in verdicts] == ["0.006", "-0.004"]


LIMIT_U = up_to("1.00", guard=Guard.UNCERTAINTY)
FLAT = replace(METER, error_pct=Decimal(0), error_digits=Decimal(5))


@pytest.mark.parametrize(
    ("value", "outcome"),
    [
        ("0.94", Outcome.PASS),
        ("0.95", Outcome.PASS),
        ("0.96", Outcome.CONDITIONAL_PASS),
        ("0.99", Outcome.CONDITIONAL_PASS),
        ("1.00", Outcome.CONDITIONAL_PASS),
        ("1.01", Outcome.CONDITIONAL_FAIL),
        ("1.04", Outcome.CONDITIONAL_FAIL),
        ("1.05", Outcome.CONDITIONAL_FAIL),
        ("1.06", Outcome.FAIL),
    ],
)
def test_four_outcomes_round_a_limit(value: str, outcome: Outcome) -> None:
    """Shows: WB-05. Limit 1.00 Ω, U 0.05 Ω: at limit − U, limit, limit + U and one digit either side.

    Acceptance and rejection limits after ILAC-G8:09/2019 4.2.3 and JCGM 106.
    """
    assert plain(read(value), LIMIT_U, function=FLAT).outcome is outcome


@pytest.mark.parametrize(
    ("value", "outcome"),
    [
        ("0.94", Outcome.PASS),
        ("0.95", Outcome.CONDITIONAL_PASS),
        ("1.00", Outcome.CONDITIONAL_FAIL),
        ("1.05", Outcome.FAIL),
    ],
)
def test_four_outcomes_round_an_open_limit(value: str, outcome: Outcome) -> None:
    """Shows: WB-05. Where the limit itself fails, limit − U no longer passes and limit + U fails."""
    limits = below("1.00", guard=Guard.UNCERTAINTY)

    assert plain(read(value), limits, function=FLAT).outcome is outcome


def test_error_is_percent_and_digits() -> None:
    """U is 3 % of the reading and two digits: 0.0500 Ω at 1.00 Ω."""
    verdict = plain(read("1.00"), up_to("1.05", guard=Guard.UNCERTAINTY), function=METER)

    assert Decimal(verdict.guard) == Decimal("0.05")
    assert verdict.outcome is Outcome.PASS


def test_a_band_with_two_ends_is_guarded_at_both() -> None:
    """217 V lies within 1 V of the lower end of 216.2 to 253 V, 252.5 V within 1 V of the upper."""
    limits = row(
        Band(Outcome.FAIL, None, at("216.2", closed=False), ""),
        Band(Outcome.PASS, at("216.2", closed=True), at("253", closed=True), ""),
        Band(Outcome.FAIL, at("253", closed=False), None, ""),
        unit="V",
        guard=Guard.UNCERTAINTY,
    )
    meter = Function("volts", "V", Decimal(1), None, None, Decimal(0), Decimal(1), "card")

    found = [plain(read(volts, "V", "1"), limits, function=meter) for volts in ("217", "230", "252.5")]

    assert [verdict.outcome for verdict in found] == [Outcome.CONDITIONAL_PASS, Outcome.PASS, Outcome.CONDITIONAL_PASS]
    assert [verdict.margin for verdict in found] == ["0.8", "13.8", "0.5"]


def test_zero_is_no_edge_to_guard() -> None:
    """A reading of 0.00 Ω under a limit of 0.05 Ω passes: below zero there is nothing."""
    limits = row(
        Band(Outcome.PASS, at("0", closed=True), at("0.05", closed=True), ""),
        Band(Outcome.FAIL, at("0.05", closed=False), None, ""),
        guard=Guard.UNCERTAINTY,
    )

    verdict = plain(read("0.00"), limits, function=METER)

    assert verdict.outcome is Outcome.PASS
    assert verdict.margin == "0.05"


@pytest.mark.parametrize(
    ("value", "outcome"),
    [
        ("0.64", Outcome.PASS),
        ("1.00", Outcome.CONDITIONAL_PASS),
        ("1.20", Outcome.CONDITIONAL_FAIL),
        ("1.60", Outcome.FAIL),
    ],
)
def test_without_an_error_on_the_card_the_ceiling_stands_in(value: str, outcome: Outcome) -> None:
    """Shows: WB-05. Where no card gives the error, 30 % of the reading does (IEC 61557), and the sentence says so."""
    verdict = plain(read(value), up_to("1.096", guard=Guard.UNCERTAINTY))

    assert verdict.outcome is outcome
    assert Decimal(verdict.guard) == Decimal(value) * Decimal("0.30")
    assert "by the standard's ceiling" in verdict.sentence


@pytest.mark.parametrize(("value", "outcome"), [("0.64", Outcome.CONDITIONAL_PASS), ("1.20", Outcome.FAIL)])
def test_without_an_error_and_a_ceiling_nothing_passes(value: str, outcome: Outcome) -> None:
    """A current has no ceiling, so a row that asks for the error never passes without it; a fail stays a fail."""
    verdict = plain(read(value, "kA"), up_to("1.096", guard=Guard.UNCERTAINTY, unit="kA"))

    assert verdict.outcome is outcome
    assert verdict.guard == ""
    assert "error is not on its card" in verdict.sentence


@pytest.mark.parametrize(
    ("value", "outcome"),
    [("0.5", Outcome.FAIL), ("1", Outcome.CONDITIONAL_PASS), ("1.99", Outcome.CONDITIONAL_PASS), ("2", Outcome.PASS)],
)
def test_a_declared_conditional_band_stays(value: str, outcome: Outcome) -> None:
    """Insulation from 1 to below 2 MΩ is a conditional pass because the limits file says so."""
    assert plain(read(value, "Mohm"), INSULATION).outcome is outcome


def test_guard_leaves_a_declared_conditional_band_alone() -> None:
    """A conditional pass next to the fail band is still what the limits file calls it."""
    meter = Function("insulation", "Mohm", Decimal("0.01"), Decimal(200), None, Decimal(10), Decimal(0), "card")
    limits = replace(INSULATION, guard=Guard.UNCERTAINTY)

    found = [plain(read(value, "Mohm"), limits, function=meter).outcome for value in ("0.95", "1.05", "2.10")]

    assert found == [Outcome.CONDITIONAL_FAIL, Outcome.CONDITIONAL_PASS, Outcome.CONDITIONAL_PASS]


@pytest.mark.parametrize(
    ("rn", "outcome"),
    [
        ("0.44", Outcome.PASS),
        ("0.40", Outcome.PASS),
        ("0.39", Outcome.CONDITIONAL_PASS),
        ("0.38", Outcome.CONDITIONAL_FAIL),
        ("0.37", Outcome.FAIL),
        ("0.64", Outcome.FAIL),
    ],
)
def test_two_legs_of_a_ring(rn: str, outcome: Outcome) -> None:
    """Shows: WB-05. A sound ring (0.44 and 0.44 Ω) is never referred; one digit is the repeatability."""
    assert plain(read(rn), LEG, other=read("0.44")).outcome is outcome


def test_difference_to_an_expected_figure(demo: Inputs) -> None:
    """The distance is taken from the exact figure, not from the figure as shown."""
    verdict = plain(read("0.49"), LEG, expected=compute("ring.r1", demo))

    assert verdict.outcome is Outcome.CONDITIONAL_PASS
    assert (verdict.expected, verdict.margin) == ("0.4446", "0.0046")


@pytest.mark.parametrize(("value", "margin"), [("0.27", "0.04"), ("0.29", "0.05"), ("0.35", "0.00"), ("0.36", "-0.01")])
def test_difference_to_an_expected_band(value: str, margin: str) -> None:
    """Inside the expected band the distance is 0; outside it is counted from the nearer end."""
    verdict = plain(read(value), LEG, expected=one("ring.step-three", "0.28", "0.30"))

    assert Decimal(verdict.margin) == Decimal(margin)
    assert verdict.expected == "0.28 to 0.30"


RATIO = row(
    Band(Outcome.FAIL, None, at("1.5", closed=False), ""),
    Band(Outcome.PASS, at("1.5", closed=True), at("1.8", closed=True), ""),
    Band(Outcome.FAIL, at("1.8", closed=False), None, ""),
    title="r2 beside r1",
    unit="1",
    compares=Compares.RATIO,
)


@pytest.mark.parametrize(
    ("r1", "r2", "outcome"),
    [("0.44", "0.73", Outcome.PASS), ("0.44", "1.33", Outcome.FAIL), ("0.62", "0.91", Outcome.FAIL)],
)
def test_ratio_is_the_second_over_the_first(r1: str, r2: str, outcome: Outcome) -> None:
    """The other reading ÷ this one: 1.66 for a sound 2.5/1.5 ring, 3.0 with a joint, 1.47 with leads not nulled."""
    assert plain(read(r1), RATIO, other=read(r2)).outcome is outcome


def test_ratio_to_a_figure() -> None:
    """Without another reading the ratio is this one ÷ the figure, and 1 inside a band."""
    limits = up_to("1.1", unit="1", compares=Compares.RATIO)

    found = [
        plain(read(value), limits, expected=one("x", "1.00", "1.20")).outcome for value in ("1.10", "1.32", "1.33")
    ]

    assert found == [Outcome.PASS, Outcome.PASS, Outcome.FAIL]


def test_ratio_is_guarded_by_half_a_digit_of_each() -> None:
    """0.10 beside 0.16 is 1.6, but half a digit more or less makes it 1.476 to 1.737: not a clear pass."""
    limits = replace(RATIO, guard=Guard.REPEATABILITY)

    assert plain(read("0.10"), limits, other=read("0.16")).outcome is Outcome.CONDITIONAL_PASS
    assert plain(read("1.00"), limits, other=read("1.65")).outcome is Outcome.PASS
    assert plain(read("0.00"), limits, other=read("0.16")).outcome is Outcome.CONDITIONAL_FAIL


def test_ratio_to_a_reading_inside_its_own_error_has_no_upper_end() -> None:
    """0.01 Ω with an error of one digit may be zero, so the ratio may be anything: a pass is conditional."""
    meter = replace(METER, error_pct=Decimal(0), error_digits=Decimal(1))
    limits = replace(RATIO, guard=Guard.UNCERTAINTY)

    verdict = plain(read("0.01"), limits, other=read("0.016", resolution="0.001"), function=meter)

    assert (verdict.outcome, verdict.guard) == (Outcome.CONDITIONAL_PASS, "")


@pytest.mark.parametrize(
    ("full_scale", "outcome"),
    [("200", Outcome.PASS), ("2", Outcome.PASS), ("1.99", Outcome.OVER_RANGE), ("0.5", Outcome.OVER_RANGE)],
)
def test_above_range_is_a_bound(full_scale: str, outcome: Outcome) -> None:
    """Above 200 MΩ meets "from 2 MΩ"; above 1.99 MΩ does not show it."""
    assert plain(Reading.over_range(Decimal(full_scale), "Mohm"), INSULATION).outcome is outcome


@pytest.mark.parametrize(
    ("limits", "end", "outcome"),
    [
        (up_to("1.096"), "2000", Outcome.FAIL),
        (up_to("1.096"), "1.096", Outcome.OVER_RANGE),
        (up_to("1.096"), "1.00", Outcome.OVER_RANGE),
        (below("1.096"), "1.096", Outcome.FAIL),
    ],
)
def test_above_range_never_meets_a_maximum(limits: Row, end: str, outcome: Outcome) -> None:
    """Above the end of a range is a fail where all of it fails, and never a pass under a maximum."""
    assert plain(Reading.over_range(Decimal(end), "ohm"), limits).outcome is outcome


@pytest.mark.parametrize(
    ("limits", "lowest", "outcome"),
    [(up_to("12"), "12", Outcome.PASS), (below("12"), "12", Outcome.PASS), (below("12"), "12.5", Outcome.OVER_RANGE)],
)
def test_below_the_lowest_step_is_a_bound(limits: Row, lowest: str, outcome: Outcome) -> None:
    """Below a step of 12 V meets "below 12 V"; below a step of 12.5 V does not show it."""
    assert plain(Reading.under_range(Decimal(lowest), "ohm"), limits).outcome is outcome


def test_an_off_scale_reading_has_no_difference() -> None:
    """An open leg is over-range, not a large difference, so that the walk looks for the break."""
    verdict = plain(Reading.over_range(Decimal(2000), "ohm"), LEG, other=read("0.44"))

    assert verdict.outcome is Outcome.OVER_RANGE
    assert (verdict.value, verdict.margin) == ("> 2000", "")


@pytest.mark.parametrize(
    ("reading", "words"),
    [
        (Reading.blank("ohm"), "has been left blank"),
        (Reading.not_measured("ohm"), "was not measured"),
        (Reading.not_applicable("ohm"), "does not apply here"),
    ],
)
def test_cells_without_a_number(reading: Reading, words: str) -> None:
    """No number is never a zero and never a pass."""
    verdict = plain(reading, up_to("1"))

    assert (verdict.outcome, verdict.value) == (Outcome.NOT_MEASURED, "")
    assert words in verdict.sentence


@pytest.mark.parametrize(
    ("other", "expected", "words"),
    [
        (None, None, "nothing to compare"),
        (None, Unknown("ring.r1", "The card does not give the length of the circuit."), "length of the circuit"),
        (Reading.over_range(Decimal(2000), "ohm"), None, "not a plain number"),
        (Reading.not_measured("ohm"), None, "not a plain number"),
    ],
)
def test_nothing_to_compare_with_never_passes(
    other: Reading | None, expected: Figure | Unknown | None, words: str
) -> None:
    """What cannot be judged is a conditional fail, with the reason in the sentence."""
    verdict = plain(read("0.44"), LEG, other=other, expected=expected)

    assert verdict.outcome is Outcome.CONDITIONAL_FAIL
    assert words in verdict.sentence


@pytest.mark.parametrize("limits", [RATIO, up_to("2", unit="1", compares=Compares.RATIO)])
def test_a_ratio_to_zero_never_passes(limits: Row) -> None:
    """Neither a reading of zero nor an expected zero makes a ratio."""
    assert plain(read("0.00"), limits, other=read("0.44")).outcome is Outcome.CONDITIONAL_FAIL
    assert plain(read("0.44"), limits, expected=one("x", "0")).outcome is Outcome.CONDITIONAL_FAIL


def test_an_unknown_limit_never_passes(changed: Callable[..., Inputs]) -> None:
    """With the supply's volts on the card but no curve, Zs has no limit: a conditional fail that says why."""
    inputs = changed(device={"curve": ""})

    verdict = judge(read("0.01"), LOOP, figure_of=lambda name: compute(name, inputs), expected=None)

    assert verdict.outcome is Outcome.CONDITIONAL_FAIL
    assert verdict.limit == ""
    assert "no operating current for a breaker of curve not given" in verdict.sentence


def test_a_limit_that_is_a_band_never_passes() -> None:
    """A bound needs one number; a figure with two is not cut to either."""
    verdict = judge(read("0.01"), LOOP, figure_of=lambda name: one(name, "1", "2"), expected=None)

    assert verdict.outcome is Outcome.CONDITIONAL_FAIL
    assert "is a band here" in verdict.sentence


def test_a_number_in_a_gap_never_passes() -> None:
    """A row with a hole in it, which the checker refuses, still cannot pass a reading."""
    limits = row(
        Band(Outcome.PASS, None, at("1", closed=False), ""), Band(Outcome.FAIL, at("1", closed=False), None, "")
    )

    assert plain(read("1"), limits).outcome is Outcome.CONDITIONAL_FAIL
    assert plain(read("0.99"), replace(limits, guard=Guard.REPEATABILITY)).outcome is Outcome.CONDITIONAL_PASS


def test_readings_are_judged_in_the_rows_unit() -> None:
    """0.29 s is 290 ms; a voltage against a time is an error of ours, not a verdict."""
    assert plain(read("0.29", "s"), TIME).value == "290"
    assert plain(read("0.31", "s"), TIME).outcome is Outcome.FAIL
    with pytest.raises(QuantityError):
        plain(read("230", "V"), TIME)


def test_figures_are_put_in_in_the_rows_unit(demo: Inputs) -> None:
    """A row in seconds takes a figure in milliseconds: 300 ms is 0.3 s."""
    limits = replace(LOOP, unit="s", bands=(Band(Outcome.PASS, None, by("rcd.limit", closed=True), ""),))

    verdict = judge(read("0.25", "s"), limits, figure_of=lambda name: compute(name, demo), expected=None)

    assert (verdict.outcome, verdict.margin) == (Outcome.PASS, "0.05")


def test_sentence_of_a_pass(demo: Inputs) -> None:
    """The sentence has the value, the limit, how the limit came about, the margin and the outcome (Shows: WB-01)."""
    verdict = judge(read("0.64"), LOOP, figure_of=lambda name: compute(name, demo), expected=None)

    assert verdict.sentence == "Zs 0.64 Ω, limit up to 1.096 Ω (0.8 × 1.37 Ω), margin 0.456 Ω: pass."


@pytest.mark.parametrize(
    ("verdict", "sentence"),
    [
        (
            plain(read("0.39"), LEG, other=read("0.44")),
            "rn 0.39 Ω, against 0.44 Ω, difference 0.05 Ω, limit up to 0.05 Ω, margin 0.00 Ω,"
            " repeatability 0.01 Ω: conditional pass.",
        ),
        (
            plain(read("1.06"), LIMIT_U, function=FLAT),
            "Zs 1.06 Ω, limit up to 1.00 Ω, outside by 0.06 Ω, instrument error 0.05 Ω: fail.",
        ),
        (
            plain(Reading.over_range(Decimal(200), "Mohm"), INSULATION),
            "Insulation above 200 MΩ, limit from 2 MΩ: pass.",
        ),
        (
            plain(Reading.over_range(Decimal("1.9"), "Mohm"), INSULATION),
            "Insulation above 1.9 MΩ, limit from 2 MΩ: off the scale, and the limit lies beyond what the"
            " instrument showed.",
        ),
        (
            plain(Reading.over_range(Decimal(2000), "ohm"), LEG, other=read("0.44")),
            "rn above 2000 Ω: off the scale, so there is no number to compare.",
        ),
        (
            plain(read("0.44"), LEG),
            "rn 0.44 Ω: conditional fail, because it cannot be judged. There is nothing to compare the reading with.",
        ),
        (
            plain(read("0.44"), RATIO, other=read("0.73")),
            "r2 beside r1 0.44 Ω, against 0.73 Ω, ratio 1.6591, limit from 1.5 up to 1.8, margin 0.1409: pass.",
        ),
        (plain(Reading.not_measured("ms"), TIME), "Trip time was not measured: not measured."),
    ],
    ids=lambda value: value.outcome if isinstance(value, Verdict) else "",
)
def test_sentences(verdict: Verdict, sentence: str) -> None:
    """Each kind of verdict reads aloud as one plain sentence, numbers and units included."""
    assert verdict.sentence == sentence


def test_a_verdict_carries_what_it_rests_on(changed: Callable[..., Inputs]) -> None:
    """Sources of row and figures, the assumed fields and the readings used are all in the verdict."""
    inputs = changed(circuit={"length_m": Known(Decimal(60), How.ASSUMED)}, readings={"r1": "0.44", "ze": "0.35"})

    verdict = judge(
        read("0.64"), LOOP, figure_of=lambda name: compute(name, inputs), expected=compute("loop.zs", inputs, "S5")
    )

    assert verdict.assumed == ("circuit.length_m",)
    assert verdict.reads == ("ze", "r1")
    assert verdict.source.startswith("Table 41.3 (published); published 0.8 rule")
    assert verdict.expected == "0.6402 to 0.6414"


def test_a_figure_that_was_not_compared_with_is_not_rested_on() -> None:
    """Where two readings are compared, an expected figure and what it assumes have no part in the verdict."""
    expected = one("ring.rn", "0.60", assumed=("circuit.length_m",))

    verdict = plain(read("0.44"), LEG, other=read("0.44"), expected=expected)

    assert (verdict.outcome, verdict.expected, verdict.assumed) == (Outcome.PASS, "0.44", ())


def test_a_verdict_survives_the_log(demo: Inputs) -> None:
    """What is written as texts comes back as the same verdict."""
    verdict = judge(
        read("0.64"), LOOP, figure_of=lambda name: compute(name, demo), expected=compute("loop.zs", demo, "S5")
    )

    assert Verdict.from_json(verdict.to_json()) == verdict
    assert type(verdict.to_json()["outcome"]) is str


@pytest.mark.parametrize(
    "change", [{"outcome": "good"}, {"value": 1}, {"reads": "r1"}, {"reads": [1]}, {"more": ""}, {"outcome": None}]
)
def test_a_foreign_verdict_is_refused(change: dict[str, object]) -> None:
    """A member that is unknown, missing or of the wrong kind is refused by name."""
    stored: dict[str, object] = {**plain(read("1"), up_to("1")).to_json(), **change}

    with pytest.raises(FerruleError, match="stored verdict"):
        Verdict.from_json(stored)


def test_judgement_does_not_depend_on_the_callers_context() -> None:
    """A caller with two digits of precision gets the same verdict."""
    expected = plain(read("1.09"), up_to("1.096", guard=Guard.UNCERTAINTY), function=METER)

    with localcontext() as context:
        context.prec = 2
        found = plain(read("1.09"), up_to("1.096", guard=Guard.UNCERTAINTY), function=METER)

    assert found == expected
