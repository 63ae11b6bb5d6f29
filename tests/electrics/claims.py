"""What each published row states, beside what ferrule finds for it.

One function a file of `tests/cases`; each takes one row and yields its claims, or nothing where it states none.
"""

from __future__ import annotations

import csv
import re
from collections.abc import Callable, Iterator
from dataclasses import dataclass
from decimal import ROUND_HALF_UP, Decimal
from pathlib import Path

from ferrule.engine.electrics import adiabatic, disconnection, fault_level, insulation, loop, rcd, ring, tables, torque
from ferrule.engine.electrics.asked_names import ask
from ferrule.engine.electrics.conductors import CONDUCTORS, PRACTICE_PER_DEGREE
from ferrule.engine.electrics.fuses import EARLIER_ZS, find_fuse
from ferrule.engine.electrics.uncertainty import CEILING_PCT
from ferrule.engine.quantity.exact import divide, exact
from ferrule.engine.quantity.units import convert

CASES = Path(__file__).parents[1] / "cases"
Cells = dict[str, str]


@dataclass(frozen=True)
class Claim:
    """One figure of a published row: as printed, and as found."""

    file: str
    row: int
    """Counts the rows under the heading from 1."""
    what: str
    printed: str
    found: Decimal | str

    @property
    def agrees(self) -> bool:
        """True when the found figure, rounded half up, is the printed one to its last digit."""
        if isinstance(self.found, str):
            return self.found == self.printed
        return to_places(self.found, self.printed) == Decimal(self.printed)


def to_places(value: Decimal, like: str) -> Decimal:
    """The value with as many decimals as a printed text has."""
    places = len(like.partition(".")[2])
    with exact():
        return value.quantize(Decimal(1).scaleb(-places), rounding=ROUND_HALF_UP)


def rows_of(file: str) -> list[Cells]:
    """The rows of a file under its heading."""
    with (CASES / f"{file}.csv").open(newline="", encoding="utf-8") as text:
        return list(csv.DictReader(text))


def found(name: str, what: str = "", **keys: str) -> Decimal:
    """The figure that the command gives for these keys; `what` names one of its further figures."""
    answer = ask(name, keys)[1]
    amount = answer.also[what] if what else answer.result
    assert amount.value is not None
    return amount.value


def shown(name: str, what: str, **keys: str) -> Decimal:
    """A further figure of the command as it is shown, rounded."""
    return Decimal(ask(name, keys)[1].also[what].rounded)


def pairs(text: str) -> dict[str, str]:
    """`a=1;b=2` as a mapping."""
    return dict(part.split("=", 1) for part in text.split(";"))


Stated = Iterator[tuple[str, str, Decimal | str]]


def adiabatic_k(row: Cells) -> Stated:
    """k by table, material and covering."""
    uses = {"43.1": "live", "54.2": "separate", "54.3": "in-cable", "54.4": "sheath", "54.5": "conduit"}
    coverings = {
        "70 degC thermoplastic": "thermoplastic-70",
        "90 degC thermoplastic": "thermoplastic-90",
        "60 degC thermosetting": "thermosetting-60",
        "90 degC thermosetting": "thermosetting-90",
        "thermoplastic sheath": "thermoplastic-sheath",
        "bare (unsheathed)": "bare",
    }
    material = "mineral-copper" if "mineral" in row["conductor"] else row["conductor"]
    use = uses[row["bs7671_table"].split()[1]]
    factor = adiabatic.find_factor(use, material, coverings[row["covering"]])
    assert factor is not None
    yield "k", row["k"], factor.k
    if row["k_above_300mm2"]:
        yield "k above 300 mm²", row["k_above_300mm2"], factor.k_thick or ""


def conductor_resistance(row: Cells) -> Stated:
    """mΩ/m of one size, or of a pair."""
    name = {"copper plain": "copper", "aluminium": "aluminium"}[row["material"]]
    kind = CONDUCTORS["copper-flexible" if row["conductor_class"].startswith("5") else name]
    total = kind.mohm_per_m[Decimal(row["line_mm2"])].value
    if row["cpc_mm2"]:
        total = found("r1-r2", "mohm_per_m", line_mm2=row["line_mm2"], cpc_mm2=row["cpc_mm2"], length_m="1")
    yield "mohm/m", row["mohm_per_m_20C"], total


def device_let_through_or_fault_rating(row: Cells) -> Stated:
    """What devices, boards and supplies are rated for."""
    device, name, rated = row["device"], row["designation"], row["icn_or_rating_ka"]
    if name.startswith("Icn"):
        yield "Ics", row["ics_ka"], fault_level.service_ka(Decimal(rated)).value
    elif name == "conditional rating":
        yield "kA", rated, fault_level.CONDITIONAL_KA.value
    elif device.startswith("supply"):
        three = "three" in device
        yield "kA", rated, (fault_level.ASSUMED_THREE_KA if three else fault_level.ASSUMED_SINGLE_KA).value
    elif " at " in rated:
        standard = {"fuse BS 88 Part 2.1": "BS 88-2.1", "fuse BS 88 Part 6": "BS 88-6"}[device]
        for part in rated.split("; "):
            number, volts = part.split(" at ")
            yield f"kA at {volts}", number, fault_level.DEVICE_KA[f"{standard} at {volts}"].value
    elif rated and rated != "varies":
        named = re.search(r"BS [0-9-]+", device)
        assert named is not None
        yield "kA", rated, fault_level.DEVICE_KA[f"{named.group()} {name.replace(' ', '-')}"].value


def disconnection_times(row: Cells) -> Stated:
    """Times by system, voltage and kind of circuit, and the scope of the table."""
    circuit, system = row["circuit"], row["earthing_system"]
    sockets, fixed = disconnection.CircuitKind.SOCKETS, disconnection.CircuitKind.FIXED
    if circuit == "scope of Table 41.1":
        wide = row["edition"].startswith("18")
        for text in re.findall(r"up to (\d+) A", row["note"]):
            kind = sockets if wide and text == "63" else fixed
            asked = disconnection.Asked(system[:2], Decimal(230), Decimal(text), kind, wide_scope=wide)
            beyond = disconnection.Asked(system[:2], Decimal(230), Decimal(text) + 1, kind, wide_scope=wide)
            limit = disconnection.in_table_scope(asked)
            assert limit is not None
            assert disconnection.in_table_scope(beyond) is None
            yield f"scope of {kind.value} in A", text, limit.value
        return
    volts = Decimal(401) if ">" in row["u0_range_v"] else Decimal((row["u0_range_v"] or "<=230").rpartition("<=")[2])
    kind = {"distribution": disconnection.CircuitKind.DISTRIBUTION, "reduced": disconnection.CircuitKind.REDUCED}.get(
        circuit.split()[0], sockets
    )
    bonded = "all extraneous parts bonded" in circuit
    asked = disconnection.Asked(
        system, volts, Decimal(32), kind, direct=row["supply"] == "dc", overcurrent_and_bonded=bonded
    )
    time = disconnection.longest_time_s(asked)
    printed = "0.4" if bonded else row["max_time_s"]
    yield "s", printed, "not required for shock" if time is None else time.value


def instrument_uncertainty(row: Cells) -> Stated:
    """Ceilings of the operating uncertainty."""
    names = {
        "insulation resistance": "insulation",
        "loop impedance": "loop",
        "resistance of earth and bonding conductors (continuity)": "low resistance",
        "resistance to earth": "earth electrode",
        "RCD trip time": "residual time",
        "RCD tester timing": "residual time",
    }
    if row["item"] in names:
        yield "%", row["value"], CEILING_PCT[names[row["item"]]].value


def insulation_parallel_examples(row: Cells) -> Stated:
    """Several insulations together."""
    parts = pairs(row["inputs"])["R_megohm"]
    yield "megohm", pairs(row["expected"])["total_megohm"], found("insulation-parallel", megohm=parts)


def insulation_resistance(row: Cells) -> Stated:
    """The least insulation of the table in force, and the level for looking further."""
    if row["edition"].startswith("16th"):
        return
    kinds = {
        "SELV and PELV": "selv",
        "LV and FELV": "low-voltage",
        "LV with electronic equipment": "low-voltage",
        "LV with connected equipment that may affect the result or be damaged": "connected",
        "LV": "above-500-v",
    }
    if row["min_megohm"].startswith("investigate"):
        yield "look again", row["min_megohm"].split()[-1], found("insulation-parallel", "look_again_below", megohm="5")
    elif row["min_megohm"][:1].isdigit():
        kind = kinds.get(row["circuit"], "connected")
        yield "Mohm", row["min_megohm"], insulation.LEAST_MEGOHM[kind].value


def rcd_trip_times(row: Cells) -> Stated:
    """Times by standard, kind and multiple; bands of a rising current."""
    kind = "delayed" if row["rcd_time_type"].startswith("S") else "general"
    multiple, practice = row["multiple_of_idn"], row["practice_or_standard"]
    if multiple == "0.5":
        yield "at half", row["min_ms"], "no trip" if found("rcd-limit", type=kind, multiple="0.5") == 2000 else ""
        return
    if multiple == "ramp":
        residual = Decimal(10 if "<= 10" in row["device"] else 30)
        band = rcd.ramp_band("AC" if "type AC" in row["device"] else "A", residual)
        for word, text in zip(("from", "up to"), re.findall(r"(\d+) %", row["note"]), strict=True):
            yield f"% {word}", text, (band.low if word == "from" else band.high) * 100
        return
    if practice == "test method":
        factor = re.search(r"current by ([0-9.]+)", row["note"])
        if factor is not None:
            yield "times", factor.group(1), rcd.half_wave_factor("A", Decimal(10 if "= 10" in row["device"] else 30))
        return
    if row["rcd_time_type"] == "delay":
        base, share = row["max_ms"].split(" + ")
        times = rcd.older_delay_times(Decimal(multiple), Decimal(100))
        assert times is not None
        yield "longest of 100 ms delay", str(int(base) + int(share.split()[0])), times.longest_ms
        base, share = row["min_ms"].split(" + ")
        yield "shortest of 100 ms delay", str(int(base) + int(share.split()[0])), times.least_ms
        return
    if not row["max_ms"]:
        if "30 mA" in row["note"]:
            yield (
                "smallest rating in A",
                "25",
                next(Decimal(a) for a in range(1, 100) if rcd.delayed_type_exists(Decimal(100), Decimal(a))),
            )
            yield (
                "largest IΔn without it",
                "30",
                max(Decimal(ma) for ma in range(1, 100) if not rcd.delayed_type_exists(Decimal(ma), Decimal(63))),
            )
        return
    if multiple.startswith("0.25 A"):
        yield "mA", "250", rcd.five_times_ma(Decimal(30), fixed=True)
        multiple = "5"
    edition = {"BS 4293": "bs4293", "17th": "17th", "18th Edition 2018": "18th", "18th Edition A2": "A2:2022"}
    chosen = next((value for key, value in edition.items() if practice.startswith(key)), "A2:2022")
    keys = {"type": kind, "multiple": "6" if multiple.startswith("above 5") else multiple.split()[0], "edition": chosen}
    yield "longest ms", row["max_ms"].split()[0], found("rcd-limit", **keys)
    if row["min_ms"]:
        yield "shortest ms", row["min_ms"], found("rcd-limit", "shortest", **keys)


def resistance_temperature(row: Cells) -> Stated:
    """Coefficients, and factors by the rounder coefficient that the tables use."""
    kind, factor, degrees = row["kind"], row["factor"], Decimal(row["temperature_C"])
    twenty, alpha = Decimal(20), PRACTICE_PER_DEGREE.value
    if kind == "coefficient":
        known = {"copper": CONDUCTORS["copper"], "aluminium": CONDUCTORS["aluminium"]}.get(
            row["material_or_insulation"]
        )
        yield "per degree", factor.split()[0], known.per_degree.value if known else alpha
        return
    to_twenty = kind.startswith("ambient: reading")
    ends = {"from_c": str(degrees), "to_c": "20"} if to_twenty else {"from_c": "20", "to_c": str(degrees)}
    yield "by 0.004", factor, found("resistance-at-temperature", ohm="1", alpha=str(alpha), **ends)
    if len(factor.partition(".")[2]) == 2:
        start, end = (degrees, twenty) if to_twenty else (twenty, degrees)
        yield "by 0.00393", factor, ring.at_temperature(Decimal(1), start, end, CONDUCTORS["copper"].per_degree.value)


def ring_final(row: Cells) -> Stated:
    """Ring sums: steps two and three, r2 of a length, the way back to r1, ratios, the fall to the links."""
    given, want = pairs(row["inputs"]), pairs(row["expected"])
    case = row["id"]
    if case == "R01":
        keys = {"r1_ohm": given["r1_ohm"], "r2_ohm": given["r2_ohm"]}
        yield "midpoint", want["midpoint_ohm"], found("ring-step-three", **keys)
        yield "at the links", want["at_links_ohm"], found("ring-step-three", at_fraction="0", **keys)
    elif case == "R02":
        yield "socket", want["socket_ohm"], found("ring-step-two", r1_ohm=given["r1_ohm"], rn_ohm=given["rn_ohm"])
    elif case == "R04":
        per_m = CONDUCTORS["copper"].mohm_per_m[Decimal(given["csa_mm2"])].value
        yield "r2", want["r2_ohm"], ring.conductor_ohm(Decimal(given["length_m"]), per_m)
    elif case == "R07":
        ratio = Decimal(given["ratio"])
        yield "r1", want["r1_over_R1R2"], divide(Decimal(1), ring.crossed_mid(Decimal(1), ratio))
    elif case == "R08":
        yield "ratio 2.5/1.5", want["ratio_2.5_1.5"], found("ring-ratio", "by_area", line_mm2="2.5", cpc_mm2="1.5")
        yield "ratio 2.5/1.0", want["ratio_2.5_1.0"], found("ring-ratio", "by_area", line_mm2="2.5", cpc_mm2="1.0")
        by_area = found("ring-ratio", "by_area", line_mm2="2.5", cpc_mm2="1.0")
        yield "r2 if 1.0 mm²", want["r2_if_1.0mm2_ohm"], Decimal(given["rn_ohm"]) * by_area
    else:
        yield (
            "percent",
            want["percent"].removeprefix("about "),
            ring.fall_percent(Decimal(1), Decimal(given["ratio_r2_r1"])),
        )


def spd_afdd_misc(row: Cells) -> Stated:
    """The two figures of this list that a circuit is computed from."""
    if row["topic"] == "TT electrode":
        yield "ohm", row["value"].split()[0], found("tt-limit", "stable_up_to", residual_ma="30")
    elif "Cmin 0.95" in row["item"]:
        yield "Cmin", row["value"], tables.C_MIN.value


def torque_rows(row: Cells) -> Stated:
    """Conversions, and the error that a setting tool may have."""
    units = {"lbf.in": "lbfin", "N.m": "Nm", "cN.m": "cNm"}
    if row["topic"] == "conversion":
        one = row["item"].split()[1]
        if one in units and row["unit"] in units:
            yield f"1 {one}", row["value"], convert(Decimal(1), units[one], units[row["unit"]])
        elif one == "lbf.ft":
            yield f"1 {one}", row["value"], convert(Decimal(12), "lbfin", "Nm")
    elif row["topic"] == "ISO 6789 limit":
        values = re.findall(r"\d+", row["value"])
        if len(values) > 1:
            yield "% above 10 N·m", values[0], torque.class_error_pct(Decimal(11))
            yield "% up to 10 N·m", values[1], torque.class_error_pct(Decimal(10))
        else:
            above = "above 10" in row["item"]
            yield "%", values[0], torque.class_error_pct(Decimal(11 if above else 10))


def worked_examples_zs(row: Cells) -> Stated:
    """Published sums, one way a family."""
    yield from _WORKED[row["family"]](row["id"], pairs(row["inputs"]), pairs(row["expected"]))


def _r1r2(_: str, given: Cells, want: Cells) -> Stated:
    if "line_mm2" in given:
        keys = {key: given[key] for key in ("line_mm2", "cpc_mm2", "length_m")}
        yield "R1R2", want["R1R2_ohm"], found("r1-r2", **keys)
        return
    for name, size in (("R1", "line_mohm"), ("R2", "cpc_mohm")):
        yield name, want[f"{name}_ohm"], ring.conductor_ohm(Decimal(given["length_m"]), Decimal(given[size]))
    yield "R1R2", want["R1R2_ohm"], found("r1-r2", line_mm2="2.5", cpc_mm2="1.5", length_m=given["length_m"])


def _zs(case: str, given: Cells, want: Cells) -> Stated:
    number = {key: Decimal(text) for key, text in given.items() if re.fullmatch(r"[0-9.]+", text)}
    if case == "Z01":
        warm = ring.conductor_ohm(number["length_m"], number["mohm_per_m"]) * tables.WARM_FACTOR.value
        yield "R1R2 hot", want["R1R2_hot_ohm"], warm
        yield "Zs", want["Zs_ohm"], found("zs-expected", ze_ohm=given["Ze_ohm"], r1r2_ohm=str(warm))
    elif case == "Z03":
        limit = number["max_Zs_ohm"] * number["site_factor"]
        yield "limit", want["limit_ohm"], limit
        yield "R1R2", want["R1R2_ohm"], limit - number["Ze_ohm"]
        yield "length", want["length_m"], ring.length_from_ohm(limit - number["Ze_ohm"], number["mohm_per_m"])
    elif case == "Z04":
        for metres, ohm in zip(given["lengths_m"].split(","), want["R1R2_ohm"].split(","), strict=True):
            yield f"R1R2 at {metres} m", ohm, found("r1-r2", line_mm2="4", cpc_mm2="1.5", length_m=metres)
        keys = {"line_mm2": "4", "cpc_mm2": "1.5", "length_m": given["lengths_m"].split(",")[-1]}
        yield "Zs", want["Zs_ohm"], found("zs-expected", ze_ohm=given["Ze_ohm"], **keys)
    elif case == "Z06":
        yield "Zs", want["Zs_max_ohm"], found("zs-limit", curve="B", rating_a=given["In_a"])
    elif case in ("Z07", "Z12"):
        as_printed = shown("zs-measured-limit", "as_forms_print_it", table_ohm=given["table_Zs_ohm"])
        yield "limit", want["limit_measured_ohm"], as_printed
    elif case == "Z08":
        warmer = found("resistance-at-temperature", ohm="1", from_c="20", to_c="70", alpha="0.004")
        yield "percent", want["percent"], (warmer - 1) * 100
    else:
        part = Decimal(want["R1R2_ohm"])
        yield "Zs", given["Zs_ohm"], found("zs-expected", ze_ohm=given["Ze_ohm"], r1r2_ohm=str(part))


def _temperature(case: str, given: Cells, want: Cells) -> Stated:
    if case == "Z13":
        keys = {"from_c": given["ambient_C"], "to_c": given["operating_C"], "alpha": "0.004"}
        yield "factor", want["factor"], found("resistance-at-temperature", ohm="1", **keys)
        return
    keys = {"ohm": given["R20_ohm"], "from_c": "20", "to_c": given["t_C"]}
    yield "R", want["R_ohm"], found("resistance-at-temperature", **keys)


def _tt(case: str, given: Cells, want: Cells) -> Stated:
    if case == "T01":
        yield "IΔn", want["max_IdeltaN_mA"], loop.largest_residual_ma(Decimal(given["RA_ohm"]))
        return
    yield "limit", want["limit_ohm"], found("tt-limit", residual_ma=given["IdeltaN_mA"], touch_v=given["touch_limit_V"])


def _rcd(_: str, given: Cells, want: Cells) -> Stated:
    drivable = loop.largest_drivable_ohm(
        Decimal(given["U0_v"]), Decimal(given["low_voltage_factor"]), Decimal(given["test_current_mA"])
    )
    yield "loop", want["max_loop_ohm"], drivable


def _pfc(case: str, given: Cells, want: Cells) -> Stated:
    if case == "F01":
        yield "I", want["I_a"], found("fault-current", z_ohm=given["loop_ohm"], u0_v=given["U_v"])
        return
    volts, load = given["V_open"], Decimal(given["load_a"])
    z = fault_level.loop_from_load_ohm(Decimal(volts), Decimal(given["V_load"]), load)
    yield "Z", want["Z_ohm"], z
    yield "I", want["I_a"], found("fault-current", z_ohm=str(z), u0_v=volts)


def _adiabatic(case: str, given: Cells, want: Cells) -> Stated:
    if "I_a" in given:
        current = Decimal(given["I_a"])
    else:
        volts = given.get("U0_v", given.get("U_v", ""))
        current = found("fault-current", z_ohm=given["Zs_ohm"], u0_v=volts)
        if "I_a" in want:
            yield "I", want["I_a"], current
    time = given.get("t_s", "0.1")
    keys = {"current_a": str(current), "time_s": time, "k": given["k"]}
    yield "S" if case != "A05" else "S at 0.1 s", want["S_mm2"], found("adiabatic", **keys)
    if "next_size_mm2" in want:
        yield "next size", want["next_size_mm2"], found("adiabatic", "next_standard_size", **keys)


_WORKED: dict[str, Callable[[str, Cells, Cells], Stated]] = {
    "r1r2": _r1r2,
    "zs": _zs,
    "temperature": _temperature,
    "tt": _tt,
    "rcd": _rcd,
    "pfc": _pfc,
    "adiabatic": _adiabatic,
}


def zs_max_breakers(row: Cells) -> Stated:
    """Largest Zs by curve, rating and time, with and without Cmin, and 0.8 of it."""
    for time in row["disconnection_s"].split(" and "):
        keys = {"curve": row["device_type"], "rating_a": row["in_a"], "time_s": time, "u0_v": row["u0_v"]}
        yield f"Ia at {time} s", row["ia_a"], found("zs-limit", "operating_current", **keys)
        yield f"unrounded at {time} s", row["zs_formula_ohm_4dp"], found("zs-limit", **keys)
        if row["zs_published_ohm"]:
            yield f"table at {time} s", row["zs_published_ohm"], Decimal(ask("zs-limit", keys)[1].result.rounded)
        if row["zs_bs7671_2008_no_cmin_ohm"]:
            yield f"2008 at {time} s", row["zs_bs7671_2008_no_cmin_ohm"], found("zs-limit", edition="17th", **keys)
        unrounded = loop.measured_limit_ohm(found("zs-limit", **keys))
        yield f"0.8 unrounded at {time} s", row["limit_0.8_of_unrounded_ohm_3dp"], unrounded


def zs_max_fuses(row: Cells) -> Stated:
    """Largest Zs of fuses, the printed ones and those from before Cmin."""
    standard = row["fuse_standard"].partition(" (")[0]
    keys = {"fuse": standard, "rating_a": row["in_a"], "time_s": row["disconnection_s"]}
    if row["zs_cmin095_ohm"]:
        yield "table", row["zs_cmin095_ohm"], found("zs-limit", **keys)
        if row["implied_ia_a"]:
            zs = found("zs-limit", **keys)
            yield "implied Ia", row["implied_ia_a"], divide(tables.C_MIN.value * 230, zs)
    elif row["earlier_x_0.95_2dp"]:
        yield "earlier × 0.95", row["earlier_x_0.95_2dp"], found("zs-limit", **keys)
    if row["earlier_edition_ohm_no_cmin"]:
        yield "2008", row["earlier_edition_ohm_no_cmin"], found("zs-limit", edition="bs7671-2008", **keys)
        earlier = find_fuse(standard, Decimal(row["in_a"]), Decimal(row["disconnection_s"]), EARLIER_ZS)
        assert earlier is not None
        yield "2008 × 0.95", row["earlier_x_0.95_2dp"], earlier.value * tables.C_MIN.value


def zs_rcd(row: Cells) -> Stated:
    """Largest loop where a residual-current device clears the fault."""
    printed = row["max_ra_or_zs_ohm"]
    if row["rated_residual_ma"] == "any":
        yield "ohm", printed, tables.ELECTRODE_STABLE_OHM.value
        return
    if not row["computed_ohm_1dp"]:
        drivable = loop.largest_drivable_ohm(Decimal(230), Decimal("0.89"), 5 * Decimal(row["rated_residual_ma"]))
        yield "ohm for five times", printed, drivable
        return
    keys = {"residual_ma": row["rated_residual_ma"], "touch_v": row["touch_voltage_limit_v"]}
    yield "ohm", printed, found("tt-limit", **keys)
    yield "one decimal", row["computed_ohm_1dp"], found("tt-limit", **keys)


def nothing(_: Cells) -> Stated:
    """A file whose rows state no figure that is computed."""
    yield from ()


FILES: dict[str, Callable[[Cells], Stated]] = {
    "adiabatic_k": adiabatic_k,
    "conductor_resistance": conductor_resistance,
    "device_let_through_or_fault_rating": device_let_through_or_fault_rating,
    "disconnection_times": disconnection_times,
    "instrument_uncertainty": instrument_uncertainty,
    "insulation_parallel_examples": insulation_parallel_examples,
    "insulation_resistance": insulation_resistance,
    "isolation_points": nothing,
    "rcd_trip_times": rcd_trip_times,
    "resistance_temperature": resistance_temperature,
    "ring_final": ring_final,
    "spd_afdd_misc": spd_afdd_misc,
    "torque": torque_rows,
    "worked_examples_zs": worked_examples_zs,
    "zs_max_breakers": zs_max_breakers,
    "zs_max_fuses": zs_max_fuses,
    "zs_rcd": zs_rcd,
}


def all_claims() -> list[Claim]:
    """Every claim of every published row."""
    return [
        Claim(file, number, what, printed, value)
        for file, claims in FILES.items()
        for number, row in enumerate(rows_of(file), start=1)
        for what, printed, value in claims(row)
    ]
