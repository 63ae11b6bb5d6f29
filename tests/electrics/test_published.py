"""Published tables and worked examples, row by row; each row carries the source it was read in."""

from __future__ import annotations

import csv
from collections.abc import Callable
from dataclasses import dataclass
from decimal import ROUND_HALF_UP, Decimal
from pathlib import Path

import pytest

from ferrule.engine.electrics import insulation, loop, rcd, ring
from ferrule.engine.electrics.tables import BREAKER_MULTIPLE, COPPER_PER_DEGREE, MOHM_PER_M
from ferrule.engine.quantity.exact import divide
from ferrule.engine.quantity.units import convert

CASES = Path(__file__).parents[1] / "cases"
OURS = (
    "conductor_resistance",
    "insulation_parallel_examples",
    "rcd_trip_times",
    "resistance_temperature",
    "ring_final",
    "torque",
    "worked_examples_zs",
    "zs_max_breakers",
    "zs_rcd",
)


@dataclass(frozen=True)
class Row:
    """One published case."""

    case: str
    given: dict[str, str]
    expect: str
    source: str


def _rows(name: str, case: Callable[[dict[str, str]], str], expect: str) -> list[Row]:
    with (CASES / f"{name}.csv").open(newline="", encoding="utf-8") as file:
        return [Row(case(line), line, line[expect], line["source"]) for line in csv.DictReader(file)]


def _pairs(text: str) -> dict[str, str]:
    return dict(part.split("=", 1) for part in text.split(";"))


def _numbers(text: str) -> list[Decimal]:
    return [Decimal(part) for part in text.split(",")]


def _to(value: Decimal, like: str) -> Decimal:
    """The value rounded half up to as many decimals as the published text has."""
    return value.quantize(Decimal(1).scaleb(Decimal(like).as_tuple().exponent), rounding=ROUND_HALF_UP)  # type: ignore[arg-type]


def _id(row: Row) -> str:
    return row.case


BREAKERS = _rows(
    "zs_max_breakers", lambda r: f"{r['device_type']}{r['in_a']}/{r['k_multiple_of_in']}", "zs_published_ohm"
)
CONDUCTORS = _rows("conductor_resistance", lambda r: f"{r['line_mm2']}/{r['cpc_mm2'] or '-'}", "mohm_per_m_20C")
RESIDUAL = _rows("zs_rcd", lambda r: f"{r['rated_residual_ma']}mA/{r['touch_voltage_limit_v']}V", "max_ra_or_zs_ohm")
TIMES = _rows("rcd_trip_times", lambda r: f"{r['practice_or_standard']}/{r['rcd_time_type']}", "max_ms")
RING = {row.case: row for row in _rows("ring_final", lambda r: r["id"], "expected")}
WORKED = {row.case: row for row in _rows("worked_examples_zs", lambda r: r["id"], "expected")}
TORQUE = {row.case: row for row in _rows("torque", lambda r: f"{r['item']} to {r['unit']}", "value")}
PARALLEL = _rows("insulation_parallel_examples", lambda r: r["id"], "expected")
WARMTH = _rows("resistance_temperature", lambda r: f"{r['kind']}/{r['temperature_C']}", "factor")


@pytest.mark.parametrize("name", OURS)
def test_every_case_has_a_source(name: str) -> None:
    """No published row stands without a word on where it came from."""
    rows = _rows(name, lambda r: r["source"], "basis")

    assert rows
    assert all(row.source.strip() and row.expect.strip() for row in rows)


@pytest.mark.parametrize("row", BREAKERS, ids=_id)
def test_table_zs_is_the_published_one(row: Row) -> None:
    """0.95·U0/Ia to two decimals gives each published table value, ties included."""
    current = loop.operating_current_a(Decimal(row.given["in_a"]), Decimal(row.given["k_multiple_of_in"]))

    assert current == Decimal(row.given["ia_a"])
    assert str(loop.table_zs_ohm(Decimal(row.given["u0_v"]), current)) == row.expect


@pytest.mark.parametrize("row", [row for row in BREAKERS if "0.4" in row.given["disconnection_s"]], ids=_id)
def test_multiples_by_curve_are_the_published_ones(row: Row) -> None:
    """Each curve has the multiple that the 0.4 s rows of the table use."""
    assert BREAKER_MULTIPLE[row.given["device_type"]].value == Decimal(row.given["k_multiple_of_in"])


@pytest.mark.parametrize("row", CONDUCTORS, ids=_id)
def test_conductor_table_is_the_published_one(row: Row) -> None:
    """Each size, and each pair of line and protective conductor, has the published resistance per metre."""
    total = MOHM_PER_M[Decimal(row.given["line_mm2"])].value
    if row.given["cpc_mm2"]:
        total += MOHM_PER_M[Decimal(row.given["cpc_mm2"])].value

    assert total == Decimal(row.expect)


@pytest.mark.parametrize("row", RESIDUAL, ids=_id)
def test_residual_loop_limit_is_the_published_one(row: Row) -> None:
    """Touch voltage over rated residual current gives each published limit, to the whole ohm."""
    given = row.given

    limit = loop.residual_zs_ohm(Decimal(given["rated_residual_ma"]), Decimal(given["touch_voltage_limit_v"]))

    assert str(limit) == row.expect


@pytest.mark.parametrize("row", TIMES, ids=_id)
def test_trip_times_are_the_published_ones(row: Row) -> None:
    """General and delayed devices have the published longest and shortest times at the rated current."""
    delayed = row.given["rcd_time_type"].startswith("S")

    assert rcd.longest_trip(delayed).value == Decimal(row.expect)
    assert rcd.shortest_trip(delayed).value == Decimal(row.given["min_ms"] or "0")


@pytest.mark.parametrize("row", PARALLEL, ids=_id)
def test_insulations_in_parallel(row: Row) -> None:
    """Several insulations read together come to the worked figure."""
    parts = _numbers(_pairs(row.given["inputs"])["R_megohm"])
    expected = _pairs(row.expect)["total_megohm"]

    assert _to(insulation.together_megohm(parts), expected) == Decimal(expected)


def test_one_dead_short_makes_the_whole_insulation_zero() -> None:
    """A part of 0 MΩ leaves nothing of the rest, and no part at all is refused."""
    assert insulation.together_megohm([Decimal(200), Decimal(0)]) == 0
    with pytest.raises(ValueError, match="at least one"):
        insulation.together_megohm([])


@pytest.mark.parametrize("case", ["R01", "R02", "R04"])
def test_ring_examples(case: str) -> None:
    """Published ring sums: step three at the middle and at the links, step two, and r2 from a length."""
    given, expect = _pairs(RING[case].given["inputs"]), _pairs(RING[case].expect)
    number = {name: Decimal(text) for name, text in given.items()}
    found = {
        "R01": lambda: {
            "midpoint_ohm": ring.crossed_mid(number["r1_ohm"], number["r2_ohm"]),
            "at_links_ohm": ring.crossed_board(number["r1_ohm"], number["r2_ohm"]),
        },
        "R02": lambda: {"socket_ohm": ring.crossed_mid(number["r1_ohm"], number["rn_ohm"])},
        "R04": lambda: {"r2_ohm": ring.conductor_ohm(number["length_m"], number["mohm_per_m"])},
    }[case]()

    assert found == {name: Decimal(text) for name, text in expect.items()}


@pytest.mark.parametrize("case", ["R09", "R11"])
def test_fall_of_step_three_towards_the_links(case: str) -> None:
    """The published share by which step three falls from the middle to the links, by the ratio r2/r1."""
    row = RING[case]
    ratio = Decimal(_pairs(row.given["inputs"])["ratio_r2_r1"])
    expected = row.given["our_recalculation"]

    assert _to(ring.fall_percent(Decimal(1), ratio), expected) == Decimal(expected)


def test_r1_from_step_three_turned_round() -> None:
    """The published way back from R1+R2 to r1 agrees with the forward formula."""
    row = RING["R07"]
    given = _pairs(row.given["inputs"])
    r1 = Decimal(_pairs(row.expect)["r1_over_R1R2"]) * Decimal(given["R1R2_ohm"])

    forward = ring.crossed_mid(r1, r1 * Decimal(given["ratio"]))

    assert abs(forward - Decimal(given["R1R2_ohm"])) < Decimal("0.0000001")


@pytest.mark.parametrize("case", ["L01", "L02", "L04", "L06"])
def test_r1r2_of_a_length(case: str) -> None:
    """Published lengths of cable have their published R1+R2; the full figure is our recalculation."""
    row = WORKED[case]
    given = _pairs(row.given["inputs"])

    found = ring.conductor_ohm(Decimal(given["length_m"]), Decimal(given["mohm_per_m"]))

    assert found == Decimal(row.given["our_recalculation"])
    assert abs(found - Decimal(_pairs(row.expect)["R1R2_ohm"])) <= Decimal("0.005")


def test_r1_and_r2_of_a_length_apart() -> None:
    """22 m of 2.5/1.5: R1 and R2 apart, and their sum, as published."""
    given, expect = _pairs(WORKED["L07"].given["inputs"]), _pairs(WORKED["L07"].expect)
    length = Decimal(given["length_m"])
    r1 = ring.conductor_ohm(length, Decimal(given["line_mohm"]))
    r2 = ring.conductor_ohm(length, Decimal(given["cpc_mohm"]))

    assert {"R1_ohm": _to(r1, "0.001"), "R2_ohm": _to(r2, "0.001"), "R1R2_ohm": _to(r1 + r2, "0.001")} == {
        name: Decimal(text) for name, text in expect.items()
    }


def test_r1r2_along_a_radial() -> None:
    """Sockets at 12, 18 and 20.5 m of 4/1.5 read the published R1+R2, and Zs at the last follows."""
    given, expect = _pairs(WORKED["Z04"].given["inputs"]), _pairs(WORKED["Z04"].expect)
    each = [ring.conductor_ohm(length, Decimal(given["mohm_per_m"])) for length in _numbers(given["lengths_m"])]

    assert [_to(ohm, "0.01") for ohm in each] == _numbers(expect["R1R2_ohm"])
    assert _to(Decimal(given["Ze_ohm"]) + each[-1], "0.01") == Decimal(expect["Zs_ohm"])


def test_zs_of_a_rating_that_the_table_leaves_out() -> None:
    """45 A type B gives 0.97 Ω by the formula, as practitioners worked it out."""
    given = _pairs(WORKED["Z06"].given["inputs"])
    current = loop.operating_current_a(Decimal(given["In_a"]), BREAKER_MULTIPLE["B"].value)

    assert str(loop.table_zs_ohm(Decimal(given["U0_v"]), current)) == _pairs(WORKED["Z06"].expect)["Zs_max_ohm"]


@pytest.mark.parametrize(("case", "exact"), [("Z07", "6.136"), ("Z12", "0.728")])
def test_measured_limit_is_not_rounded(case: str, exact: str) -> None:
    """0.8 × the table value stays exact; the published figure is the same number cut short on paper."""
    row = WORKED[case]
    limit = loop.measured_limit_ohm(Decimal(_pairs(row.given["inputs"])["table_Zs_ohm"]))

    assert str(limit) == exact == row.given["our_recalculation"]
    assert 0 <= limit - Decimal(_pairs(row.expect)["limit_measured_ohm"]) < Decimal("0.01")


def test_residual_limit_of_the_worked_tt_circuit() -> None:
    """A 30 mA device on TT: 1667 Ω."""
    given = _pairs(WORKED["T03"].given["inputs"])
    limit = loop.residual_zs_ohm(Decimal(given["IdeltaN_mA"]), Decimal(given["touch_limit_V"]))

    assert limit == Decimal(_pairs(WORKED["T03"].expect)["limit_ohm"])


@pytest.mark.parametrize(("case", "volts", "ohms"), [("F01", "U_v", "loop_ohm"), ("F03", "V_open", "")])
def test_fault_current(case: str, volts: str, ohms: str) -> None:
    """U/Z gives the published prospective currents."""
    given, expect = _pairs(WORKED[case].given["inputs"]), _pairs(WORKED[case].expect)
    impedance = Decimal(given[ohms] if ohms else expect["Z_ohm"])

    assert loop.fault_current_ka(Decimal(given[volts]), impedance) * 1000 == Decimal(expect["I_a"])


def test_warm_copper() -> None:
    """0.1 Ω of copper at 20 °C is 0.11179 Ω at 50 °C, to the last digit that is published."""
    given = _pairs(WORKED["Z14"].given["inputs"])

    warm = Decimal(given["R20_ohm"]) * ring.temperature_factor(Decimal(given["t_C"]))

    assert warm == Decimal(_pairs(WORKED["Z14"].expect)["R_ohm"])


@pytest.mark.parametrize("row", WARMTH, ids=_id)
def test_temperature_rule_agrees_with_the_published_factors(row: Row) -> None:
    """The copper coefficient is the published one; the cable table's Kt (by the rounder 0.004) agrees within 0.5 %."""
    if row.given["kind"] == "coefficient":
        assert row.expect == f"{COPPER_PER_DEGREE.value} per degC"
        return
    factor = ring.temperature_factor(Decimal(row.given["temperature_C"]))

    assert abs(factor * Decimal(row.expect) - 1) < Decimal("0.005")


@pytest.mark.parametrize(
    ("case", "one", "other"),
    [("1 lbf.in to N.m", "lbfin", "Nm"), ("1 N.m to cN.m", "Nm", "cNm"), ("1 N.m to lbf.in", "Nm", "lbfin")],
)
def test_torque_units_of_leaflets(case: str, one: str, other: str) -> None:
    """A leaflet in pound-force inches or centinewton metres is turned into N·m by the published factors."""
    expected = TORQUE[case].expect

    assert _to(convert(Decimal(1), one, other), expected) == Decimal(expected)


def test_r2_from_r1_uses_resistances_not_areas() -> None:
    """Beside r1 = 0.44 Ω in 2.5/1.5 the table gives 0.72 Ω; by areas it would be 0.73 Ω (IEC 60228)."""
    line, cpc = MOHM_PER_M[Decimal("2.5")].value, MOHM_PER_M[Decimal("1.5")].value
    r1 = Decimal("0.44")

    assert _to(ring.r2_from_r1(r1, line, cpc), "0.01") == Decimal("0.72")
    assert _to(divide(r1 * Decimal("2.5"), Decimal("1.5")), "0.01") == Decimal("0.73")
