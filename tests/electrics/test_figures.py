"""The registry of figures: what each name gives on the demo card, and what it rests on."""

from __future__ import annotations

from collections.abc import Callable
from dataclasses import replace
from decimal import ROUND_HALF_UP, Decimal, localcontext

import pytest

from ferrule.engine.electrics import torque
from ferrule.engine.electrics.figures import NAMES, Figure, Inputs, Unknown, compute
from ferrule.engine.electrics.model import How, Known, Point, TorqueTool, Upstream
from ferrule.engine.quantity.reading import Reading
from ferrule.engine.quantity.units import UNITS

Changed = Callable[..., Inputs]
UNKNOWN = Known(None, How.UNKNOWN)


def figure(name: str, inputs: Inputs, point: str = "") -> Figure:
    """The figure, which must be there."""
    found = compute(name, inputs, point)
    assert isinstance(found, Figure), found.reason
    return found


def reason(name: str, inputs: Inputs, point: str = "") -> str:
    """The reason that a figure is not there."""
    found = compute(name, inputs, point)
    assert isinstance(found, Unknown)
    assert found.name == name
    return found.reason


def hundredths(value: Decimal) -> str:
    """The value as an instrument with two decimals would show it."""
    return str(value.quantize(Decimal("0.01"), rounding=ROUND_HALF_UP))


@pytest.mark.parametrize("name", sorted(NAMES))
def test_every_name_has_a_unit_a_title_and_a_source(name: str) -> None:
    """The loader can check any figure before there is a job."""
    spec = NAMES[name]

    assert spec.unit in UNITS
    assert spec.title
    assert spec.source


@pytest.mark.parametrize("name", sorted(NAMES))
def test_every_figure_is_there_on_some_card(name: str, changed: Changed) -> None:
    """Each name gives a figure with formula, numbers and source, in the unit that was promised."""
    kind = "radial" if name.startswith("radial") else "ring"
    upstream = Upstream(Decimal(100), delayed=True)
    inputs = changed(circuit={"kind": kind}, supply={"upstream": upstream}, readings={"r1": "0.44"})
    board = {"board/with": "1.50", "board/without": "50.0"}
    megohm = {key: Reading.measured(Decimal(text), "Mohm") for key, text in board.items()}
    inputs = replace(inputs, readings={**inputs.readings, **megohm}, load_kinds=("general",))
    point = {"torque": "load-l"}.get(name.split(".")[0], "S5") if NAMES[name].needs_point else ""

    found = figure(name, inputs, point)

    assert found.unit == NAMES[name].unit
    assert found.low <= found.high
    assert found.formula
    assert found.put_in
    assert found.source


def test_an_unknown_name_is_an_error(demo: Inputs) -> None:
    """A name that is not in the registry is refused, not answered."""
    with pytest.raises(ValueError, match="is not a figure"):
        compute("ring.r3", demo)


@pytest.mark.parametrize(
    ("name", "point", "low", "high"),
    [
        ("ring.r1", "", "0.44", "0.44"),
        ("ring.rn", "", "0.44", "0.44"),
        ("ring.r2", "", "0.73", "0.73"),
        ("ring.step-two", "S1", "0.22", "0.22"),
        ("ring.step-two", "P1", "0.31", "0.31"),
        ("ring.step-three", "S1", "0.28", "0.28"),
        ("ring.step-three", "S5", "0.29", "0.29"),
        ("ring.step-three", "P1", "0.41", "0.41"),
        ("ring.step-three-max", "", "0.41", "0.41"),
        ("loop.zs", "S5", "0.64", "0.64"),
        ("loop.zs", "P1", "0.76", "0.76"),
        ("loop.zs", "S10", "0.47", "0.63"),
    ],
)
def test_reference_ring_by_hand_formulas(demo: Inputs, name: str, point: str, low: str, high: str) -> None:
    """The reference ring (own calculation) to the digit that an instrument shows."""
    found = figure(name, demo, point)

    assert (hundredths(found.low), hundredths(found.high)) == (low, high)


def test_limit_is_exact_and_unrounded(demo: Inputs) -> None:
    """0.8 × 1.37 is 1.096, with both numbers in the words (Shows: WB-01)."""
    found = figure("loop.limit", demo)

    assert str(found.value) == "1.096"
    assert found.put_in == "0.8 × 1.37 Ω"


def test_limit_by_the_other_rule(changed: Changed) -> None:
    """The setting two-thirds takes 2/3 of U0/Ia, which is below the 0.8 rule for the same device."""
    found = figure("loop.limit", changed(settings={"loop-rule": "two-thirds"}))

    assert hundredths(found.value) == "0.96"
    assert "IEC 60364-6" in found.source


def test_unknown_rule_gives_no_limit(changed: Changed) -> None:
    """A misspelt setting is named, not taken for the usual one."""
    assert "loop-rule is 0.8" in reason("loop.limit", changed(settings={"loop-rule": "0.8"}))


def test_limit_on_tt_is_the_residual_one(changed: Changed) -> None:
    """On TT a breaker's table does not hold; 50 V over 30 mA does."""
    assert figure("loop.limit", changed(supply={"earthing": "TT"})).value == 1667


def test_a_c_curve_device_halves_the_limit(changed: Changed) -> None:
    """A 32 A type C device has 0.68 Ω in the table, so 0.64 Ω would not pass its 0.544 Ω."""
    inputs = changed(device={"curve": "C"})

    assert str(figure("loop.table", inputs).value) == "0.68"
    assert str(figure("loop.limit", inputs).value) == "0.544"


def test_curve_without_a_multiple_gives_no_limit(changed: Changed) -> None:
    """A curve that the table does not know leaves the limit unknown."""
    assert "curve Z" in reason("loop.limit", changed(device={"curve": "Z"}))


@pytest.mark.parametrize(
    ("change", "name", "point"),
    [
        ({"circuit": {"length_m": Known(Decimal(61), How.RECORD)}}, "ring.r1", ""),
        ({"circuit": {"line_mm2": Decimal(4)}}, "ring.rn", ""),
        ({"circuit": {"cpc_mm2": Decimal("1.0")}}, "ring.r2", ""),
        ({"circuit": {"cpc_mm2": Decimal("1.0")}}, "ring.step-three", "S5"),
        ({"supply": {"ze_ohm": Known(Decimal("0.2"), How.RECORD)}}, "loop.zs", "S5"),
        ({"supply": {"ze_ohm": Known(Decimal("0.2"), How.RECORD)}}, "fault.current", ""),
        ({"supply": {"nominal_v": Decimal(240)}}, "supply.volts-low", ""),
        ({"supply": {"nominal_v": Decimal(240)}}, "loop.table", ""),
        ({"supply": {"earthing": "TN-S"}}, "supply.ze-limit", ""),
        ({"device": {"rating_a": Decimal(20)}}, "loop.limit", ""),
        ({"device": {"residual_ma": Decimal(100)}}, "leakage.limit", ""),
        ({"device": {"delayed": True}}, "rcd.limit", ""),
        ({"device": {"delayed": True}}, "rcd.least", ""),
        ({"device": {"breaking_ka": Decimal(6)}}, "fault.rating", ""),
    ],
)
def test_one_card_field_changes_the_figure(
    demo: Inputs, changed: Changed, change: dict[str, dict[str, object]], name: str, point: str
) -> None:
    """No figure stands in the code as a result: change the card and it changes."""
    assert figure(name, demo, point).high != figure(name, changed(**change), point).high


@pytest.mark.parametrize(
    ("readings", "name", "point", "value", "reads"),
    [
        ({"r1": "0.46", "rn": "0.44"}, "ring.step-two", "S3", "0.225", ("r1", "rn")),
        ({"r1": "0.44"}, "ring.r2-from-r1", "", "0.7185", ("r1",)),
        ({"r1": "0.20"}, "ring.r2-tolerance", "", "0.05", ("r1",)),
        ({"r1": "0.4446"}, "ring.length", "", "60", ("r1",)),
        ({"r2": "1.33"}, "cpc.r2-at", "S5", "0.331", ("r2",)),
        ({"ze": "0.21"}, "supply.ze", "", "0.21", ("ze",)),
    ],
)
def test_a_reading_comes_before_the_card(
    changed: Changed, readings: dict[str, str], name: str, point: str, value: str, reads: tuple[str, ...]
) -> None:
    """What was read in this job is used, and the figure says which readings it used."""
    found = figure(name, changed(readings=readings), point)

    assert abs(found.value - Decimal(value)) < Decimal("0.0001")
    assert found.reads == reads


def test_an_off_scale_reading_is_no_number(demo: Inputs, changed: Changed) -> None:
    """r1 above 2000 Ω is not 2000 Ω: step two falls back to the card and does not claim to have read r1."""
    over = changed(readings={"r1": Reading.over_range(Decimal(2000), "ohm")})

    assert figure("ring.step-two", over, "S1") == figure("ring.step-two", demo, "S1")
    assert "r1" in reason("ring.length", over)


def test_readings_in_other_units_are_converted(changed: Changed) -> None:
    """440 mΩ and 0.44 Ω are one reading."""
    milli = changed(readings={"r1": Reading.measured(Decimal(440), "mohm")})

    assert figure("ring.length", milli) == figure("ring.length", changed(readings={"r1": "0.44"}))


def test_step_three_without_distances_is_a_band(changed: Changed, demo: Inputs) -> None:
    """From r1·r2/(r1 + r2) to (r1 + r2)/4 where the card does not say how far round a socket lies."""
    points = tuple(replace(point, distance_m=UNKNOWN) for point in demo.circuit.points)
    inputs = changed(circuit={"points": points})

    at_socket, at_spur = figure("ring.step-three", inputs, "S1"), figure("ring.step-three", inputs, "P1")

    assert (hundredths(at_socket.low), hundredths(at_socket.high)) == ("0.28", "0.29")
    assert (hundredths(at_spur.low), hundredths(at_spur.high)) == ("0.39", "0.41")
    with pytest.raises(ValueError, match="is a band"):
        _ = at_socket.value


def test_step_three_max_without_points(changed: Changed) -> None:
    """With no points on the card, the largest step three is somewhere in the band of the ring."""
    found = figure("ring.step-three-max", changed(circuit={"points": ()}))

    assert (hundredths(found.low), hundredths(found.high)) == ("0.28", "0.29")


def test_spur_on_a_spur_adds_both(changed: Changed, demo: Inputs) -> None:
    """6 m and 6 m more: step two 0.40, step three 0.53, Zs 0.88 (own calculation)."""
    further = Point("P2", "second spur", UNKNOWN, "P1", Known(Decimal(6), How.RECORD))
    inputs = changed(circuit={"points": (*demo.circuit.points, further)})

    assert hundredths(figure("ring.step-two", inputs, "P2").value) == "0.40"
    assert hundredths(figure("ring.step-three", inputs, "P2").value) == "0.53"
    assert hundredths(figure("loop.zs", inputs, "P2").high) == "0.88"


def test_spur_of_unknown_length_is_not_guessed(changed: Changed, demo: Inputs) -> None:
    """A spur without a length leaves its readings unknown, with the reason in words."""
    points = tuple(replace(point, spur_length_m=UNKNOWN) for point in demo.circuit.points)

    assert reason("ring.step-two", changed(circuit={"points": points}), "P1") == (
        "The card does not give the length of the spur to P1."
    )


@pytest.mark.parametrize(
    ("change", "name", "point", "words"),
    [
        ({"circuit": {"length_m": UNKNOWN}}, "ring.r1", "", "the length of the circuit"),
        ({"circuit": {"line_mm2": Decimal("3")}}, "ring.r1", "", "no size of 3 mm²"),
        ({"circuit": {"kind": "radial"}}, "ring.step-two", "S1", "is a radial, not a ring"),
        ({}, "radial.r1r2", "S1", "is a ring, not a radial"),
        ({}, "ring.step-three", "S99", "no point S99"),
        ({}, "ring.step-three", "", "No point was named"),
        ({}, "torque.low", "xx", "no terminal xx"),
        ({}, "torque.low", "mute", "leaflet's torque for blank"),
        ({"supply": {"ze_ohm": UNKNOWN}}, "loop.zs", "S1", "does not give Ze"),
        ({"supply": {"ze_ohm": Known(Decimal(0), How.STATED)}}, "fault.current", "", "Ze is 0"),
        ({"supply": {"fault_ka": UNKNOWN}}, "fault.highest", "", "fault current at the origin"),
        ({"supply": {"earthing": ""}}, "supply.ze-limit", "", "earthing system not given"),
        ({"circuit": {"length_m": Known(Decimal(50), How.RECORD)}}, "ring.step-three", "S10", "past the 50 m"),
    ],
)
def test_what_is_missing_is_said(
    changed: Changed, change: dict[str, dict[str, object]], name: str, point: str, words: str
) -> None:
    """A figure that cannot be computed gives a reason in plain words, never a usual value."""
    assert words in reason(name, changed(**change), point)


def test_a_point_at_the_very_end_is_on_the_ring(changed: Changed) -> None:
    """A socket at 53 m of a ring of 53 m is at the board end of leg 2, not past it."""
    inputs = changed(circuit={"length_m": Known(Decimal(53), How.RECORD)})

    assert figure("loop.zs", inputs, "S10").low == Decimal("0.35")


def test_spurs_in_a_circle_are_found(changed: Changed) -> None:
    """Two spurs that leave from each other end in a reason, not in an endless walk."""
    six = Known(Decimal(6), How.RECORD)
    points = (Point("A", "a", UNKNOWN, "B", six), Point("B", "b", UNKNOWN, "A", six))

    assert "in a circle" in reason("ring.step-two", changed(circuit={"points": points}), "A")


@pytest.mark.parametrize(
    ("change", "name", "point", "field"),
    [
        ({"circuit": {"length_m": Known(Decimal(60), How.ASSUMED)}}, "ring.r1", "", "circuit.length_m"),
        ({"circuit": {"points_how": How.ASSUMED}}, "ring.step-three", "S1", "circuit.points"),
        ({"supply": {"ze_ohm": Known(Decimal("0.35"), How.ASSUMED)}}, "loop.zs", "S1", "supply.ze_ohm"),
        ({"supply": {"fault_ka": Known(Decimal(1), How.ASSUMED)}}, "fault.highest", "", "supply.fault_ka"),
        (
            {"settings": {"temperature-correction": "on"}, "temperature_c": Known(Decimal(10), How.ASSUMED)},
            "ring.r1",
            "",
            "temperature_c",
        ),
    ],
)
def test_what_is_assumed_is_listed(
    demo: Inputs, changed: Changed, change: dict[str, object], name: str, point: str, field: str
) -> None:
    """A figure that rests on an assumed field names it once; on a sure card it names none."""
    assert figure(name, demo, point).assumed == ()
    assert figure(name, changed(**change), point).assumed == (field,)


def test_assumed_distance_of_a_point_is_listed(changed: Changed, demo: Inputs) -> None:
    """An assumed distance is named with its point."""
    points = tuple(
        replace(point, distance_m=replace(point.distance_m, how=How.ASSUMED)) if point.id == "S5" else point
        for point in demo.circuit.points
    )

    found = figure("ring.step-three", changed(circuit={"points": points}), "P1")

    assert found.assumed == ("circuit.points/S5.distance_m",)


def test_temperature_is_left_alone_unless_asked_for(changed: Changed, demo: Inputs) -> None:
    """At 10 °C the expected r1 falls by 3.93 % when the setting is on, and not otherwise (IEC 60028)."""
    cold = Known(Decimal(10), How.MEASURED)
    on = changed(temperature_c=cold, settings={"temperature-correction": "on"})

    assert figure("ring.r1", changed(temperature_c=cold)) == figure("ring.r1", demo)
    assert figure("ring.r1", on).value == figure("ring.r1", demo).value * Decimal("0.9607")
    assert "IEC 60028" in figure("ring.r1", on).source
    assert figure("ring.r1", replace(on, temperature_c=UNKNOWN)) == figure("ring.r1", demo)


def test_each_reading_is_listed_once(changed: Changed) -> None:
    """A figure over all points names r1 once, however many points used it."""
    found = figure("ring.step-three-max", changed(readings={"r1": "0.44", "r2": "0.73"}))

    assert found.reads == ("r1", "r2")


def test_zs_uses_the_step_three_that_was_read(changed: Changed) -> None:
    """A step three of 0.35 Ω read at S5 lifts the upper end of Zs there, and is listed as read."""
    found = figure("loop.zs", changed(readings={"ring-three/S5": "0.35"}), "S5")

    assert found.high == Decimal("0.70")
    assert "ring-three/S5" in found.reads


def radial(changed: Changed, **rest: object) -> Inputs:
    """Five points on a 1.5/1.0 radial of 35 m."""
    points = tuple(Point(f"L{metres}", "lamp", Known(Decimal(metres), How.RECORD)) for metres in (7, 14, 21, 28, 35))
    circuit = {
        "kind": "radial",
        "line_mm2": Decimal("1.5"),
        "cpc_mm2": Decimal("1.0"),
        "length_m": Known(Decimal(35), How.RECORD),
        "points": points,
    }
    return changed(circuit=circuit, device={"curve": "B", "rating_a": Decimal(6)}, **rest)


def test_radial_reads_its_length(changed: Changed) -> None:
    """35 m of 1.5/1.0 has R1+R2 of 1.06 Ω (own calculation), R2 alone 0.63 Ω, and a limit of 5.824 Ω."""
    inputs = radial(changed)

    assert hundredths(figure("radial.r1r2", inputs, "L35").value) == "1.06"
    assert hundredths(figure("cpc.r2-at", inputs, "L35").value) == "0.63"
    assert hundredths(figure("loop.zs", inputs, "L35").value) == "1.41"
    assert str(figure("loop.limit", inputs).value) == "5.824"


def test_radial_without_a_distance_is_a_band(changed: Changed) -> None:
    """A point at an unknown distance reads anything up to the far end."""
    lost = changed(circuit={"kind": "radial", "points": (Point("X", "x", UNKNOWN),)})

    found = figure("radial.r1r2", lost, "X")

    assert (found.low, hundredths(found.high)) == (Decimal(0), "1.17")


@pytest.mark.parametrize(("method", "zs"), [("link", "1.45"), ("long-lead", "1.87")])
def test_zs_of_a_radial_by_the_method_that_was_used(changed: Changed, method: str, zs: str) -> None:
    """A reading of 1.10 Ω is R1+R2 by the link, but R2 alone by the long lead, where R1 is computed."""
    inputs = radial(changed, readings={"cpc/L35": "1.10"}, settings={"cpc-method": method})

    found = figure("loop.zs", inputs, "L35")

    assert hundredths(found.value) == zs
    assert found.reads == ("cpc/L35",)


def test_unknown_method_gives_no_zs(changed: Changed) -> None:
    """A misspelt method is named, because the same reading means two things."""
    inputs = radial(changed, readings={"cpc/L35": "1.10"}, settings={"cpc-method": "links"})

    assert "cpc-method is links" in reason("loop.zs", inputs, "L35")


def test_volts_of_the_supply(demo: Inputs) -> None:
    """230 V may lie from 216.2 V to 253 V."""
    assert figure("supply.volts-low", demo).value == Decimal("216.2")
    assert figure("supply.volts-high", demo).value == Decimal("253")


def kiloampere(number: str) -> Reading:
    """A fault current as read."""
    return Reading.measured(Decimal(number), "kA")


@pytest.mark.parametrize(
    ("phases", "line_neutral", "line_earth", "highest"),
    [(1, "0.66", "0.71", "0.71"), (3, "0.66", "0.71", "1.32"), (3, "0.66", "1.40", "1.40")],
)
def test_highest_fault_current(changed: Changed, phases: int, line_neutral: str, line_earth: str, highest: str) -> None:
    """The larger reading counts; on three phases the line-to-neutral one is doubled first."""
    readings = {"fault-current/L-N": kiloampere(line_neutral), "fault-current/L-E": kiloampere(line_earth)}

    found = figure("fault.highest", changed(supply={"phases": phases}, readings=readings))

    assert found.value == Decimal(highest)


def test_three_phases_need_line_to_neutral(changed: Changed) -> None:
    """A line-to-earth reading alone says nothing of the largest current on three phases."""
    inputs = changed(supply={"phases": 3}, readings={"fault-current/L-E": kiloampere("0.7")})

    assert "line-to-neutral" in reason("fault.highest", inputs)


def test_safe_torque_band(demo: Inputs) -> None:
    """2.0 to 2.5 N·m with a tool of ±6 % leaves 2.13 to 2.35 N·m, and the mark 2.2 (own derivation)."""
    assert hundredths(figure("torque.low", demo, "load-l").value) == "2.13"
    assert hundredths(figure("torque.high", demo, "load-l").value) == "2.36"
    assert figure("torque.high", demo, "load-l").value > Decimal("2.35")
    assert figure("torque.setting", demo, "load-l").value == Decimal("2.2")


def test_nominal_torque_has_no_room(demo: Inputs) -> None:
    """A single value on the leaflet is set as it is, when the tool has that mark."""
    low, high, setting = (figure(f"torque.{name}", demo, "bar-n").value for name in ("low", "high", "setting"))

    assert low == high == setting == Decimal("1.2")


@pytest.mark.parametrize(
    ("tool", "terminal", "words"),
    [
        (("1.0", "3.0", "0.5", "6"), "load-l", "no mark for 2.1277 to 2.3585 N·m"),
        (("1.0", "2.0", "0.1", "6"), "load-l", "marks run from 1.0 to 2.0 N·m"),
        (("2.0", "8.0", "0.1", "6"), "bar-n", "no mark for 1.2 N·m"),
        (("1.0", "3.0", "0.1", "20"), "load-l", "error of 20 % is too large"),
    ],
)
def test_a_tool_that_cannot_do_it_is_refused(
    changed: Changed, tool: tuple[str, str, str, str], terminal: str, words: str
) -> None:
    """No mark inside the safe band means another tool, never a guess between two marks."""
    low, high, step, error = map(Decimal, tool)
    inputs = changed(torque_tools={"T": TorqueTool("T", "1", "2027-01-01", low, high, step, error)})

    assert words in reason("torque.setting", inputs, terminal)


def test_of_two_equally_near_marks_the_lower_is_set() -> None:
    """2.1 and 2.3 lie equally near to 2.2; the lower strains the screw less."""
    marks = (Decimal("2.3"), Decimal("2.1"))

    assert torque.nearest_middle(marks, Decimal("2.0"), Decimal("2.4")) == Decimal("2.1")


def test_the_first_tool_is_the_chosen_one(changed: Changed, demo: Inputs) -> None:
    """With two tools in the job the first decides; with none there is no setting."""
    coarse = TorqueTool("T", "1", "2027-01-01", Decimal(1), Decimal(3), Decimal("0.5"), Decimal(6))

    assert isinstance(
        compute("torque.setting", changed(torque_tools={"T": coarse, **demo.torque_tools}), "load-l"), Unknown
    )
    assert "no torque tool" in reason("torque.setting", changed(torque_tools={}), "load-l")


def test_figures_do_not_depend_on_the_callers_context(demo: Inputs) -> None:
    """A caller with two digits of precision gets the same figures."""
    expected = [compute(name, demo, "S1") for name in NAMES]

    with localcontext() as context:
        context.prec = 2
        found = [compute(name, demo, "S1") for name in NAMES]

    assert found == expected


@pytest.mark.parametrize(
    ("use", "rating", "earthing", "seconds"),
    [
        ("sockets", "40", "TN-C-S", "0.4"),
        ("fixed equipment", "40", "TN-C-S", "5"),
        ("fixed equipment", "32", "TN-C-S", "0.4"),
        ("lighting", "6", "TN-C-S", "0.4"),
        ("sockets", "32", "TT", "0.2"),
        ("fixed equipment", "40", "TT", "1"),
    ],
)
def test_time_to_clear_a_fault_goes_by_use_and_rating(
    changed: Changed, use: str, rating: str, earthing: str, seconds: str
) -> None:
    """Table 41.1 holds for sockets to 63 A and fixed equipment to 32 A; above that 411.3.2.3 and 411.3.2.4 do."""
    inputs = changed(circuit={"use": use}, device={"rating_a": Decimal(rating)}, supply={"earthing": earthing})

    assert figure("loop.time", inputs).low == Decimal(seconds)


def test_fault_current_is_not_worked_out_on_an_electrode(changed: Changed) -> None:
    """On TT the loop to earth says nothing of the current to neutral, so none is expected from it."""
    assert "On TT" in reason("fault.current", changed(supply={"earthing": "TT"}))


@pytest.mark.parametrize(("delayed", "least", "longest"), [(False, "0", "300"), (True, "130", "500")])
def test_device_upstream_has_times_of_its_own_type(changed: Changed, delayed: bool, least: str, longest: str) -> None:
    """The device upstream is timed as the general or the delayed type, whatever the new device is (BS EN 61008-1)."""
    inputs = changed(supply={"upstream": Upstream(Decimal(100), delayed)})

    assert figure("upstream.time-least", inputs).low == Decimal(least)
    assert figure("upstream.time-limit", inputs).low == Decimal(longest)


def test_no_device_upstream_has_no_time(changed: Changed) -> None:
    """Where the card names no device upstream, its time is unknown and not a usual one."""
    for upstream in (None, Upstream(None, delayed=False)):
        assert "names no residual-current device" in reason(
            "upstream.time-limit", changed(supply={"upstream": upstream})
        )
