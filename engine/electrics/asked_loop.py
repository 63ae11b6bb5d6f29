"""Figures of the earth fault loop, asked for without a job: limits, expected values, fault current, earth electrode.

Nothing here knows a card; the formulas are those of `loop`, the tables those of `fuses` and `tables`.
"""

from __future__ import annotations

from decimal import ROUND_FLOOR, Decimal

from ferrule.engine.electrics import fault_level, loop
from ferrule.engine.electrics.asked import Amount, Answer, AskError, Given, amount, meant, said_with
from ferrule.engine.electrics.asked_circuit import part_of_length, warmed
from ferrule.engine.electrics.conductors import CONDUCTORS
from ferrule.engine.electrics.editions import EDITIONS, USUAL, Edition, find_edition, known_editions
from ferrule.engine.electrics.fuses import EARLIER_ZS, FUSES, find_fuse, printed_ratings, standards
from ferrule.engine.electrics.limits import Outcome
from ferrule.engine.electrics.tables import (
    BREAKER_MULTIPLE,
    ELECTRODE_STABLE_OHM,
    MEASURED_FACTOR,
    THREE_PHASE_RULE,
    TOUCH_LIMIT_V,
    TWO_THIRDS,
    TWO_THIRDS_SOURCE,
    Sourced,
)
from ferrule.engine.light import dataclass
from ferrule.engine.quantity.exact import divide, exact, plain

FIVE_S = Decimal(5)
LEAST_TIME_S = Decimal("0.1")
"""The magnetic release acts within 0.1 s (BS EN 60898-1); a shorter time cannot be shown by its band."""
SLOW_D = Sourced(
    Decimal(10), "type D at 5 s: 10 times the rating, within the band of its magnetic release (published table)"
)
RULES = {
    "measured-0.8": "measured-0.8",
    "0.8": "measured-0.8",
    "two-thirds": "two-thirds",
    "2/3": "two-thirds",
}
_CURVES = {curve.casefold(): curve for curve in BREAKER_MULTIPLE}


@dataclass(frozen=True, slots=True)
class Limit:
    """A largest Zs as printed and before rounding, with the words for both."""

    printed: Decimal
    exact: Decimal
    u0_over_ia: Decimal
    """Without the factor Cmin, for the rule that has none."""
    formula: str
    put_in: str
    source: str
    ia_a: Decimal | None


def edition_of(given: Given) -> Edition:
    """The edition that was asked for, the usual one when none was named."""
    text = given.text("edition", USUAL) if "edition" in given.named.all_keys else USUAL
    found = find_edition(text)
    if found is None:
        aliases = (alias for edition in EDITIONS for alias in edition.aliases)
        raise AskError(f"There is no edition “{text}”. {meant(text, (*known_editions(), *aliases))}")
    return found


def limit_of(given: Given) -> Limit:
    """The largest Zs of a breaker by its curve, or of a fuse by its table."""
    return _fuse(given) if given.either("curve", "fuse") == "fuse" else _breaker(given)


def _time(given: Given, usual: str | None) -> Decimal:
    return given.above_zero("time_s", usual) if "time_s" in given.named.all_keys else Decimal("0.4")


def _breaker(given: Given) -> Limit:
    curve = given.one_of("curve", _CURVES)
    rating, time_s = given.above_zero("rating_a"), _time(given, "0.4")
    if time_s < LEAST_TIME_S:
        raise AskError(f"time_s is {plain(time_s)}; a breaker's band shows no time below {plain(LEAST_TIME_S)} s.")
    multiple = SLOW_D if curve == "D" and time_s >= FIVE_S else BREAKER_MULTIPLE[curve]
    u0 = given.above_zero("u0_v", "230") if "u0_v" in given.named.all_keys else Decimal(230)
    c_min = edition_of(given).c_min
    ia = loop.operating_current_a(rating, multiple.value)
    return Limit(
        loop.table_zs_ohm(u0, ia, c_min.value),
        loop.largest_zs_ohm(u0, ia, c_min.value),
        divide(u0, ia),
        "Zs = Cmin × U0 ÷ Ia, Ia = multiple of the curve × In, printed to 0.01 Ω",
        f"{plain(c_min.value)} × {said_with(u0, 'V')} ÷ ({plain(multiple.value)} × {said_with(rating, 'A')})",
        f"BS 7671:2018 Table 41.3 by its formula; {multiple.source}; {c_min.source}",
        ia,
    )


def _fuse(given: Given) -> Limit:
    names = {_squeezed(name): name for name in standards()}
    typed = given.text("fuse")
    standard = names.get(_squeezed(typed))
    if standard is None:
        raise AskError(f"There is no table of fuses “{typed}”. {meant(typed, standards())}")
    rating = given.above_zero("rating_a")
    time_s = _time(given, None)
    edition = edition_of(given)
    if given.has("u0_v") and given.number("u0_v") != 230:
        raise AskError("The tables of fuses are printed for 230 V; leave u0_v out.")
    earlier = edition.c_min.value == 1
    found = find_fuse(standard, rating, time_s, EARLIER_ZS if earlier else FUSES)
    if found is None:
        tables = EARLIER_ZS if earlier else FUSES
        ratings = ", ".join(plain(known) for known in printed_ratings(standard, time_s, tables))
        has = f"it has the ratings {ratings} A" if ratings else "it is printed for 0.4 s and 5 s only"
        raise AskError(f"No table prints {standard} of {plain(rating)} A at {plain(time_s)} s; {has}.")
    with exact():
        printed = found.value.quantize(Decimal("0.01"), rounding="ROUND_HALF_UP")
    return Limit(
        printed,
        found.value,
        divide(found.value, edition.c_min.value),
        "Zs as the table of the fuse prints it; its curve has no formula",
        f"{standard}, {said_with(rating, 'A')}, {said_with(time_s, 's')}",
        found.source,
        None,
    )


def _squeezed(text: str) -> str:
    return "".join(char for char in text.casefold() if char.isalnum())


def zs_limit(given: Given) -> Answer:
    """The largest Zs of a breaker or a fuse, as the table prints it."""
    limit = limit_of(given)
    also: dict[str, Amount] = {"measured_limit_0.8": cut(loop.measured_limit_ohm(limit.printed))}
    if limit.ia_a is not None:
        also["operating_current"] = amount(limit.ia_a, "A", 0)
    basis = "from memory" if "from memory" in limit.source else "published"
    return Answer(limit.formula, limit.put_in, amount(limit.exact, "ohm", 2), limit.source, basis, also)


def zs_expected(given: Given) -> Answer:
    """Zs to expect: what lies outside and what the circuit adds."""
    ze = given.number("ze_ohm")
    by_length = [key for key in ("line_mm2", "cpc_mm2", "length_m") if given.has(key)]
    if given.has("r1r2_ohm") and by_length:
        raise AskError(f"Give r1r2_ohm or {by_length[0]} with the rest of the cable, not both.")
    if given.has("r1r2_ohm"):
        read = given.number("r1r2_ohm")
        kind = CONDUCTORS["copper"]
        part, words, source = warmed(given, kind, read, said_with(read, "Ω"), "R1+R2 as given")
    else:
        part, words, source = part_of_length(given, CONDUCTORS["copper"])
    rule = "Zs = Ze + (R1 + R2), BS 7671:2018 part 2 definition (from memory)"
    also = {"r1_r2": amount(part, "ohm", 2)}
    put_in = f"{said_with(ze, 'Ω')} + {words}"
    formula = "Zs = Ze + (R1 + R2), R1 + R2 × (1 + α × (t − 20))"
    return Answer(formula, put_in, amount(ze + part, "ohm", 2), f"{rule}; {source}", "from memory", also)


def measured_limit(given: Given) -> Answer:
    """The limit for a Zs read on cold conductors, and what a reading makes of it."""
    rule = given.one_of("rule", RULES, "measured-0.8")
    if given.has("table_ohm"):
        given.either("table_ohm", "curve", "fuse")
        table = given.above_zero("table_ohm")
        limit = Limit(table, table, table, "", said_with(table, "Ω"), "the table value as given", None)
    else:
        limit = limit_of(given)
    if rule == "two-thirds":
        over, under = TWO_THIRDS
        value = divide(limit.u0_over_ia * over, under)
        formula, put_in = "2/3 × U0 ÷ Ia", f"2/3 × {said_with(_places(limit.u0_over_ia), 'Ω')}"
        source, basis = f"{TWO_THIRDS_SOURCE}; {limit.source}", "from memory"
    else:
        value = loop.measured_limit_ohm(limit.printed)
        formula, put_in = "0.8 × table Zs, not rounded", f"0.8 × {said_with(limit.printed, 'Ω')}"
        source, basis = f"{MEASURED_FACTOR.source}; {limit.source}", "published"
    also = {"table": amount(limit.printed, "ohm", 2), "as_forms_print_it": cut(value, 2)}
    verdict = None
    if given.has("measured_ohm"):
        measured = given.number("measured_ohm")
        also["margin"] = amount(value - measured, "ohm", 3)
        verdict = Outcome.PASS if measured <= value else Outcome.FAIL
    return Answer(formula, put_in, cut(value), source, basis, also, verdict)


def _places(value: Decimal) -> Decimal:
    return value.quantize(Decimal("0.0001"))


def cut(value: Decimal, places: int = 3) -> Amount:
    """A limit with further decimals cut off: what is shown never passes more than the limit does."""
    return amount(value, "ohm", places, ROUND_FLOOR)


_PHASES = {"1": "1", "one": "1", "single": "1", "3": "3", "three": "3"}
_THREE_RULES = {
    "twice": "twice",
    "double": "twice",
    "doubled": "twice",
    "2": "twice",
    "root-three": "root-three",
    "sqrt3": "root-three",
    "root3": "root-three",
    "1.732": "root-three",
    "none": "none",
}


def fault_current(given: Given) -> Answer:
    """The prospective fault current of a loop, on one phase or on three."""
    z, u0 = given.above_zero("z_ohm"), given.above_zero("u0_v", "230")
    phases = given.one_of("phases", _PHASES, "1")
    single = divide(u0, z)
    formula, put_in, source = "I = U0 ÷ Z", f"{said_with(u0, 'V')} ÷ {said_with(z, 'Ω')}", "Ohm's law"
    basis, value = "published", single
    if phases == "3":
        rule = given.one_of("rule", _THREE_RULES, "twice")
        if rule == "twice":
            value = fault_level.three_phase_twice(single)
            formula, put_in, source, basis = (
                "I = 2 × U0 ÷ Z",
                f"2 × {put_in}",
                THREE_PHASE_RULE.source,
                "common practice",
            )
        elif rule == "root-three":
            value = fault_level.three_phase_root(single)
            formula, put_in = "I = √3 × U0 ÷ Z", f"√3 × {put_in}"
            source, basis = fault_level.ROOT_THREE_SOURCE, "from memory"
    elif given.has("rule"):
        given.one_of("rule", _THREE_RULES)
    conditional, assumed = fault_level.CONDITIONAL_KA, fault_level.ASSUMED_SINGLE_KA
    also = {
        "in_ka": amount(divide(value, Decimal(1000)), "kA", 2),
        "line_to_neutral": amount(single, "A", 0),
        "conditional_rating": amount(conditional.value, "kA", 0),
        "assumed_supply_maximum": amount((fault_level.ASSUMED_THREE_KA if phases == "3" else assumed).value, "kA", 1),
    }
    return Answer(formula, put_in, amount(value, "A", 0), source, basis, also)


def tt_limit(given: Given) -> Answer:
    """The largest loop or electrode resistance where a residual-current device clears the fault."""
    residual, touch = given.above_zero("residual_ma"), given.above_zero("touch_v", plain(TOUCH_LIMIT_V.value))
    exact_limit = divide(touch * 1000, residual)
    printed = loop.residual_zs_ohm(residual, touch)
    also = {"table": amount(printed, "ohm", 0), "stable_up_to": amount(ELECTRODE_STABLE_OHM.value, "ohm", 0)}
    verdict: Outcome | None = None
    notes: tuple[str, ...] = ()
    if given.has("ra_ohm"):
        ra = given.number("ra_ohm")
        also["touch_voltage"] = amount(loop.touch_voltage_v(ra, residual), "V", 1)
        verdict = Outcome.PASS if ra <= printed else Outcome.FAIL
        if verdict is Outcome.PASS and ra > ELECTRODE_STABLE_OHM.value:
            verdict = Outcome.CONDITIONAL_PASS
            notes = (f"It meets the table but lies above 200 Ω. {ELECTRODE_STABLE_OHM.source}.",)
    put_in = f"{said_with(touch, 'V')} ÷ {said_with(residual, 'mA')} × 1000"
    return Answer(
        "RA = touch voltage ÷ IΔn, printed to 1 Ω",
        put_in,
        amount(exact_limit, "ohm", 0),
        TOUCH_LIMIT_V.source,
        "published",
        also,
        verdict,
        notes,
    )
