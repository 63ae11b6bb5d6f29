"""Figures of the device, asked for without a job: trip times, protective conductor, torque, guard band.

Nothing here knows a card; the formulas are those of `rcd`, `adiabatic`, `torque` and the judgement itself.
"""

from __future__ import annotations

from decimal import ROUND_CEILING, ROUND_FLOOR, Decimal

from ferrule.engine.electrics import adiabatic, rcd, torque
from ferrule.engine.electrics.asked import Amount, Answer, AskError, Given, amount, said_with
from ferrule.engine.electrics.asked_loop import edition_of
from ferrule.engine.electrics.figure import Unknown
from ferrule.engine.electrics.judge import judge
from ferrule.engine.electrics.limits import Band, Bound, Compares, Guard, Outcome, Row
from ferrule.engine.electrics.model import Function
from ferrule.engine.quantity.exact import decimals, divide, plain
from ferrule.engine.quantity.reading import Reading

_KINDS = {
    **dict.fromkeys(("general", "non-delay", "instantaneous", "g"), rcd.GENERAL),
    **dict.fromkeys(("delayed", "delay", "selective", "s"), rcd.DELAYED),
    **dict.fromkeys(("ac", "a", "f", "b"), rcd.GENERAL),
}
_HALF = Decimal("0.5")


def trip_limit(given: Given) -> Answer:
    """The trip time at a multiple of the rated residual current, and what a time makes of every limit."""
    kind = given.one_of("type", _KINDS)
    multiple = _multiple(given)
    if multiple == _HALF:
        return _no_trip(given)
    edition = edition_of(given)
    times = rcd.trip_times(kind, multiple, older_standard=edition.older_residual)
    if times is None:
        asked = ", ".join(plain(known) for known in rcd.MULTIPLES)
        raise AskError(
            f"No time is given for a {kind} device at {plain(multiple)} times; there are 0.5, {asked} and more."
        )
    also = {"shortest": amount(times.least_ms, "ms", 0)}
    notes = []
    if given.has("disconnection_ms"):
        also["disconnection"] = amount(given.above_zero("disconnection_ms"), "ms", 0)
    letter = given.text("type").upper()
    if letter in ("AC", "A", "F", "B"):
        band = rcd.ramp_band(letter, Decimal(30))
        also |= {"ramp_from": amount(band.low, "1", 2), "ramp_up_to": amount(band.high, "1", 2)}
    verdict = None
    if given.has("trip_ms"):
        verdict, words = _judged(given, times, multiple)
        notes.extend(words)
    put_in = f"{kind} device at {plain(multiple)} × IΔn, {edition.title}"
    result = amount(times.longest_ms, "ms", 0)
    formula = "longest break time by kind and multiple of IΔn"
    return Answer(formula, put_in, result, times.source, "published", also, verdict, tuple(notes))


def _multiple(given: Given) -> Decimal:
    text = given.text("multiple").strip().casefold().removesuffix("x").removesuffix("×")
    value = given.parse("multiple", "0.5" if text in ("½", "1/2", "half") else text)
    if value == 0:
        raise AskError("multiple is 0; it has to be above zero.")
    return value


def _no_trip(given: Given) -> Answer:
    """At half the rated current the device must hold for as long as the tester does."""
    verdict = None
    if given.has("trip_ms"):
        verdict = Outcome.PASS if given.number("trip_ms") >= rcd.HALF.value else Outcome.FAIL
    put_in = f"no trip within {said_with(rcd.HALF, 'ms')} at 0.5 × IΔn"
    result = amount(rcd.HALF.value, "ms", 0)
    return Answer("no trip at half the rated current", put_in, result, rcd.HALF.source, "published", {}, verdict)


def _judged(given: Given, times: rcd.TripTimes, multiple: Decimal) -> tuple[Outcome, list[str]]:
    trip = given.number("trip_ms")
    if not times.least_ms <= trip <= times.longest_ms:
        return Outcome.FAIL, []
    if not given.has("disconnection_ms") or trip <= given.number("disconnection_ms"):
        return Outcome.PASS, []
    if multiple > 1:
        return Outcome.FAIL, ["The device's own limit is met, the disconnection time of the circuit is not."]
    return Outcome.CONDITIONAL_FAIL, [
        "The device's own limit is met, but a time at 1 × IΔn above the disconnection time does not show"
        " that the circuit is cleared in time: test at a higher multiple."
    ]


def conductor(given: Given) -> Answer:
    """The smallest protective conductor for a fault, and the next standard size."""
    current, time_s = given.number("current_a"), given.above_zero("time_s")
    k, source, basis = _k(given)
    area = adiabatic.smallest_mm2(current, time_s, k)
    following = adiabatic.next_standard(area)
    also: dict[str, Amount] = {
        "next_standard_size": amount(following, "mm2", decimals(following)) if following else Amount(None, "mm2", ""),
        "energy": amount(adiabatic.energy_a2s(current, time_s), "A2s", 0),
    }
    short = time_s < adiabatic.LET_THROUGH_BELOW_S
    verdict = None
    if given.has("proposed_mm2"):
        proposed = given.above_zero("proposed_mm2")
        also["let_through_it_bears"] = amount(adiabatic.withstands_a2s(proposed, k), "A2s", 0)
        verdict = Outcome.PASS if proposed >= area else Outcome.FAIL
        if short:
            verdict = Outcome.CONDITIONAL_PASS if verdict is Outcome.PASS else Outcome.CONDITIONAL_FAIL
    notes = (
        ("Below 0.1 s hold the maker's let-through energy against k²S² instead; this sum does not settle it.",)
        if short
        else ()
    )
    put_in = f"√({plain(current)}² × {plain(time_s)}) ÷ {plain(k)}"
    rule = f"adiabatic equation, BS 7671:2018 543.1.3 (published worked examples); {source}"
    return Answer("S = √(I² × t) ÷ k", put_in, amount(area, "mm2", 2), rule, basis, also, verdict, notes)


def _k(given: Given) -> tuple[Decimal, str, str]:
    """k as a number, or by the name of a row of the tables."""
    text = given.text("k")
    factors = adiabatic.named_factors()
    if text[:1].isalpha():
        name = given.one_of("k", {name: name for name in factors})
        row = factors[name]
        return (
            row.k,
            f"k {plain(row.k)} of {name}: {row.source}",
            "from memory" if "memory" in row.source else "published",
        )
    return given.above_zero("k"), "k as given", "published"


def torque_setting(given: Given) -> Answer:
    """The settings of a tool that keep a screw inside its band, and the one to set."""
    error = given.number("error_pct")
    if error >= 100:
        raise AskError(f"error_pct is {plain(error)}; a tool that far off sets nothing.")
    given.either("low_nm", "nominal_nm")
    if given.has("nominal_nm"):
        low = high = given.above_zero("nominal_nm")
        formula, put_in = "the nominal value; the tool's error is recorded", said_with(low, "N·m")
    else:
        least, most = given.above_zero("low_nm"), given.above_zero("high_nm")
        if least > most:
            raise AskError(f"low_nm {plain(least)} lies above high_nm {plain(most)}.")
        low, high = torque.safe_low(least, error), torque.safe_high(most, error)
        share = plain(divide(error, Decimal(100)))
        formula = "low ÷ (1 − e) up to high ÷ (1 + e), the mark nearest to the middle"
        put_in = f"{said_with(least, 'N·m')} ÷ (1 − {share}) up to {said_with(most, 'N·m')} ÷ (1 + {share})"
    setting, why = _setting(given, low, high)
    also = {
        "safe_low": amount(low, "Nm", 2, ROUND_CEILING),
        "safe_high": amount(high, "Nm", 2, ROUND_FLOOR),
    }
    if setting is not None:
        least_given, most_given = torque.delivered(setting, error)
        also |= {"delivers_from": amount(least_given, "Nm", 3), "delivers_up_to": amount(most_given, "Nm", 3)}
    places = 2
    if given.has("graduation_nm") and setting is not None:
        places = max(decimals(setting), decimals(given.number("graduation_nm")))
    result = Amount(None, "Nm", "") if setting is None else amount(setting, "Nm", places)
    verdict = Outcome.FAIL if setting is None else None
    source = "own derivation from the tool's error; BS 7671:2018 134.1.1 (published): the maker's value is applied"
    return Answer(formula, put_in, result, source, "common practice", also, verdict, (why,) if why else ())


def _setting(given: Given, low: Decimal, high: Decimal) -> tuple[Decimal | None, str]:
    """The setting inside a safe band, or the reason that there is none."""
    if low > high:
        return None, "The tool's error is too large for this band: take a better tool."
    first, last = _range(given)
    if not given.has("graduation_nm"):
        near, far = max(low, first), high if last is None else min(high, last)
        if near > far:
            return None, "The safe band lies outside the range of this tool: take another tool."
        return divide(near + far, Decimal(2)), ""
    step = given.above_zero("graduation_nm")
    marks = torque.marks_inside(low, high, first_nm=first, last_nm=high if last is None else last, step_nm=step)
    if not marks:
        return None, "No mark of this tool lies inside the safe band: do not guess between marks, take another tool."
    return torque.nearest_middle(marks, low, high), ""


def _range(given: Given) -> tuple[Decimal, Decimal | None]:
    """The ends of the tool's range; without one, marks are counted from zero and have no end."""
    if not given.has("range_nm"):
        return Decimal(0), None
    text = given.text("range_nm").replace("..", ",").replace("-", ",").replace(" to ", ",")
    ends = [given.parse("range_nm", part.strip()) for part in text.split(",")]
    if len(ends) != 2 or ends[0] > ends[1]:
        raise AskError("range_nm has two numbers, the lower first, as in range_nm=1.0,3.0.")
    return ends[0], ends[1]


_YES = frozenset({"", "true", "yes", "1"})


def guard_band(given: Given) -> Answer:
    """What a reading shows against one limit once the instrument's error is taken into account."""
    side = given.either("at_least", "at_most")
    key = side
    if given.has("limit"):
        key = "limit"
        if given.text(side).casefold() not in _YES and given.number(side) != given.number("limit"):
            raise AskError(f"limit and {side} give two limits; write limit=… {side}, or {side}=… alone.")
    limit = given.number(key)
    pct, digits = given.number("uncertainty_pct"), given.number("digits", "0")
    resolution = given.above_zero("resolution", "0.01")
    measured, number = _measured(given)
    function = Function("", "1", resolution, None, None, pct, digits, "as given")
    verdict = judge(measured, _row(side, limit), figure_of=_no_figure, expected=None, function=function)
    off = abs(number) * divide(pct, Decimal(100)) + digits * resolution
    sign = 1 if side == "at_most" else -1
    margin = sign * (limit - number)
    places = max(decimals(resolution), decimals(limit), 2) + 1
    also = {
        "uncertainty": amount(off, "", places),
        "limit": amount(limit, "", places),
        "margin_after_uncertainty": amount(margin - off, "", places),
    }
    words = "measured ≤ limit" if side == "at_most" else "measured ≥ limit"
    formula = f"U = measured × % ÷ 100 + digits × resolution; {words}, pass beyond U, conditional within U"
    sum_of = f"{plain(number)} × {plain(pct)} ÷ 100 + {plain(digits)} × {plain(resolution)}"
    put_in = f"U = {sum_of}; limit {plain(limit)}"
    source = "JCGM 106 and ILAC-G8:09/2019 4.2.3 (published)"
    outcome = Outcome.CONDITIONAL_FAIL if verdict.outcome is Outcome.OVER_RANGE else verdict.outcome
    return Answer(formula, put_in, amount(margin, "", places), source, "published", also, outcome)


def _measured(given: Given) -> tuple[Reading, Decimal]:
    """The reading and its number; `>` or `<` in front makes it a bound."""
    text = given.text("measured")
    number = given.parse("measured", text[1:] if text[:1] in ("<", ">") else text)
    if text[:1] == ">":
        return Reading.over_range(number, "1"), number
    return (Reading.under_range(number, "1") if text[:1] == "<" else Reading.measured(number, "1")), number


def _row(side: str, limit: Decimal) -> Row:
    at, beyond = Bound(limit, "", True), Bound(limit, "", False)
    bands = (
        (Band(Outcome.PASS, None, at, "up to"), Band(Outcome.FAIL, beyond, None, "above"))
        if side == "at_most"
        else (Band(Outcome.FAIL, None, beyond, "below"), Band(Outcome.PASS, at, None, "from"))
    )
    return Row("asked", "Reading", "1", Compares.VALUE, bands, Guard.UNCERTAINTY, False, "as given", "published")


def _no_figure(name: str) -> Unknown:
    return Unknown(name, "A limit that is given as a number names no figure.")
