"""Figures of conductors, rings and insulation, asked for without a job.

Nothing here knows a card; the formulas are those of `ring` and `insulation`.
"""

from __future__ import annotations

from decimal import Decimal

from ferrule.engine.electrics import insulation, ring
from ferrule.engine.electrics.asked import Amount, Answer, AskError, Given, amount, said_with
from ferrule.engine.electrics.circuit_figures import STEP_THREE_SOURCE, STEP_TWO_SOURCE
from ferrule.engine.electrics.conductors import CONDUCTORS, PRACTICE_PER_DEGREE, Conductor
from ferrule.engine.electrics.limits import Outcome
from ferrule.engine.electrics.tables import R2_TOLERANCE_OHM, R2_TOLERANCE_SHARE, Sourced
from ferrule.engine.quantity.exact import divide, plain

MATERIALS = {
    **{name: name for name in CONDUCTORS},
    "cu": "copper",
    "aluminum": "aluminium",
    "al": "aluminium",
    "flexible": "copper-flexible",
    "flexible copper": "copper-flexible",
}


def conductor_of(given: Given) -> Conductor:
    """The kind of conductor that was asked for; copper when none was named."""
    return CONDUCTORS[given.one_of("material", MATERIALS, "copper")]


def per_m(given: Given, key: str, kind: Conductor) -> Sourced:
    """The resistance per metre of a size, or the sizes that there are."""
    size = given.above_zero(key)
    found = kind.mohm_per_m.get(size)
    if found is None:
        sizes = ", ".join(plain(known) for known in kind.mohm_per_m)
        raise AskError(f"{key} is {plain(size)} mm²; the table of {kind.name} has {sizes}.")
    return found


def part_of_length(given: Given, kind: Conductor) -> tuple[Decimal, str, str]:
    """R1+R2 of a length, the numbers put in, and the source, at the temperature asked for."""
    line, cpc = per_m(given, "line_mm2", kind), per_m(given, "cpc_mm2", kind)
    length = given.number("length_m")
    cold = ring.conductor_ohm(length, line.value + cpc.value)
    put_in = f"({said_with(line, 'mΩ/m')} + {said_with(cpc, 'mΩ/m')}) × {said_with(length, 'm')} ÷ 1000"
    return warmed(given, kind, cold, put_in, line.source)


def warmed(given: Given, kind: Conductor, cold_ohm: Decimal, put_in: str, source: str) -> tuple[Decimal, str, str]:
    """A resistance at 20 °C taken to the temperature asked for."""
    degrees = given.number("temperature_c", "20", least=None)
    if degrees == 20:
        return cold_ohm, put_in, source
    value = cold_ohm * ring.temperature_factor(degrees, kind.per_degree.value)
    words = f"{put_in} × (1 + {plain(kind.per_degree.value)} × ({plain(degrees)} − 20))"
    return value, words, f"{source}; {kind.per_degree.source}"


def r1_r2(given: Given) -> Answer:
    """R1+R2 of a length of cable."""
    kind = conductor_of(given)
    value, put_in, source = part_of_length(given, kind)
    line, cpc = per_m(given, "line_mm2", kind), per_m(given, "cpc_mm2", kind)
    length = given.number("length_m")
    also = {
        "mohm_per_m": amount(line.value + cpc.value, "mohm/m", 3),
        "at_20_c": amount(ring.conductor_ohm(length, line.value + cpc.value), "ohm", 2),
    }
    formula = "R1+R2 = (mΩ/m of line + mΩ/m of cpc) × length ÷ 1000, × 1 + α × (t − 20)"
    return Answer(formula, put_in, amount(value, "ohm", 2), source, also=also)


def _share(given: Given) -> tuple[Decimal, bool]:
    """Where round the ring, and whether it was said."""
    share = given.number("at_fraction", "0.5")
    if share > 1:
        raise AskError(f"at_fraction is {plain(share)}; it lies from 0 (one leg) to 1 (the other).")
    return share, given.has("at_fraction")


def _crossed(given: Given, other: str, source: str, names: tuple[str, str]) -> Answer:
    first, second = given.number("r1_ohm"), given.number(other)
    share, _ = _share(given)
    value = ring.crossed_at(first, second, share)
    r1, rx = names
    if share == Decimal("0.5"):
        formula, put_in = f"({r1} + {rx}) ÷ 4", f"({said_with(first, 'Ω')} + {said_with(second, 'Ω')}) ÷ 4"
    else:
        formula = f"(x·{r1} + (1 − x)·{rx}) · ((1 − x)·{r1} + x·{rx}) ÷ ({r1} + {rx})"
        put_in = f"x {plain(share)}, {r1} {said_with(first, 'Ω')}, {rx} {said_with(second, 'Ω')}"
    also = {
        "at_the_links": amount(ring.crossed_board(first, second), "ohm", 2),
        "at_mid_ring": amount(ring.crossed_mid(first, second), "ohm", 2),
    }
    return Answer(formula, put_in, amount(value, "ohm", 2), source, also=also)


def step_two(given: Given) -> Answer:
    """Line to neutral at a socket, line and neutral legs cross-linked."""
    return _crossed(given, "rn_ohm", STEP_TWO_SOURCE, ("r1", "rn"))


def step_three(given: Given) -> Answer:
    """Line to protective conductor at a socket, those legs cross-linked."""
    return _crossed(given, "r2_ohm", STEP_THREE_SOURCE, ("r1", "r2"))


def ratio(given: Given) -> Answer:
    """r2 ÷ r1 to expect, by the resistance table and by area, and what the readings make of it."""
    kind = CONDUCTORS["copper"]
    line, cpc = per_m(given, "line_mm2", kind), per_m(given, "cpc_mm2", kind)
    expected = divide(cpc.value, line.value)
    by_area = divide(given.number("line_mm2"), given.number("cpc_mm2"))
    also = {"by_table": amount(expected, "1", 2), "by_area": amount(by_area, "1", 2)}
    verdict = None
    if given.has("r1_ohm") or given.has("r2_ohm"):
        r1, r2 = given.above_zero("r1_ohm"), given.number("r2_ohm")
        wanted = r1 * expected
        tolerance = max(R2_TOLERANCE_SHARE.value * wanted, R2_TOLERANCE_OHM.value)
        also |= {
            "measured": amount(divide(r2, r1), "1", 2),
            "expected_r2": amount(wanted, "ohm", 2),
            "tolerance": amount(tolerance, "ohm", 3),
        }
        verdict = Outcome.PASS if abs(r2 - wanted) <= tolerance else Outcome.FAIL
    formula = "r2 ÷ r1 = mΩ/m of cpc ÷ mΩ/m of line; by area: line mm² ÷ cpc mm²; r2 within 10 % or 0.05 Ω"
    put_in = f"{said_with(cpc, 'mΩ/m')} ÷ {said_with(line, 'mΩ/m')}"
    source = line.source if verdict is None else f"{line.source}; {R2_TOLERANCE_SHARE.source}"
    basis = "published" if verdict is None else "common practice"
    return Answer(formula, put_in, amount(expected, "1", 2), source, basis, also, verdict)


def length(given: Given) -> Answer:
    """The length of ring that an r1 stands for."""
    size = per_m(given, "line_mm2", CONDUCTORS["copper"])
    r1 = given.number("r1_ohm")
    value = ring.length_from_ohm(r1, size.value)
    put_in = f"{said_with(r1, 'Ω')} ÷ {said_with(size, 'mΩ/m')} × 1000"
    return Answer("length = r1 ÷ mΩ/m × 1000", put_in, amount(value, "m", 1), size.source)


def parallel(given: Given) -> Answer:
    """Several insulation resistances read together."""
    parts = given.numbers("megohm")
    value = insulation.together_megohm([part for part, _ in parts])
    bound = any(above for _, above in parts)
    put_in = " + ".join(f"1/{plain(part)}" for part, _ in parts)
    also: dict[str, Amount] = {
        "lowest_part": amount(min(part for part, _ in parts), "Mohm", 2),
        "table_minimum": amount(insulation.LEAST_MEGOHM["low-voltage"].value, "Mohm", 2),
        "look_again_below": amount(insulation.LOOK_AGAIN_MEGOHM.value, "Mohm", 2),
    }
    verdict = None
    if given.has("limit_megohm"):
        limit = given.number("limit_megohm")
        also["limit"] = amount(limit, "Mohm", 2)
        verdict = _at_least(value, limit, bound)
    notes = ("A part was off the scale, so the whole is this or more.",) if bound else ()
    source = "parallel resistances, 1/R = Σ 1/Ri (Ohm's law)"
    return Answer(
        "1/R = 1/R1 + 1/R2 + …", f"1 ÷ ({put_in})", amount(value, "Mohm", 2), source, "published", also, verdict, notes
    )


def _at_least(value: Decimal, limit: Decimal, bound: bool) -> Outcome:
    """A bound that meets the limit passes; one that does not leaves the question open."""
    if value >= limit:
        return Outcome.PASS
    return Outcome.CONDITIONAL_FAIL if bound else Outcome.FAIL


def at_temperature(given: Given) -> Answer:
    """A resistance taken at one temperature as it would be at another."""
    ohm = given.number("ohm")
    start, end = given.number("from_c", least=None), given.number("to_c", least=None)
    usual = CONDUCTORS["copper"].per_degree
    alpha = given.number("alpha", plain(usual.value))
    if ring.temperature_factor(start, alpha) <= 0 or ring.temperature_factor(end, alpha) <= 0:
        raise AskError("At that temperature the rule gives no resistance above zero.")
    value = ring.at_temperature(ohm, start, end, alpha)
    practice = ring.at_temperature(ohm, start, end, PRACTICE_PER_DEGREE.value)
    above, below = (f"(1 + {plain(alpha)} × ({plain(degrees)} − 20))" for degrees in (end, start))
    put_in = f"{said_with(ohm, 'Ω')} × {above} ÷ {below}"
    also = {
        "factor": amount(ring.at_temperature(Decimal(1), start, end, alpha), "1", 4),
        "by_wiring_practice_0.004": amount(practice, "ohm", 3),
    }
    formula = "R = R(from) × (1 + α(to − 20)) ÷ (1 + α(from − 20))"
    return Answer(formula, put_in, amount(value, "ohm", 3), usual.source, also=also)
