"""What holds for every figure that can be asked for, tried on many numbers."""

from __future__ import annotations

from decimal import Decimal
from itertools import pairwise

from hypothesis import given, settings
from hypothesis import strategies as st

from ferrule.engine.electrics import insulation
from ferrule.engine.electrics.asked import AskError
from ferrule.engine.electrics.asked_names import ASKED, ask
from ferrule.engine.electrics.conductors import CONDUCTORS
from ferrule.engine.electrics.limits import Outcome
from ferrule.engine.quantity.exact import plain
from ferrule.engine.quantity.units import UNITS, convert

QUICK = settings(max_examples=80, derandomize=True, deadline=None)
WORST_FIRST = [Outcome.FAIL, Outcome.CONDITIONAL_FAIL, Outcome.CONDITIONAL_PASS, Outcome.PASS]
SIZES = st.sampled_from([plain(size) for size in CONDUCTORS["copper"].mohm_per_m])


def decimals(low: int, high: int, places: int) -> st.SearchStrategy[Decimal]:
    """Numbers with a fixed count of decimals."""
    return st.integers(low, high).map(lambda steps: Decimal(steps).scaleb(-places))


def value(name: str, **keys: object) -> Decimal:
    """The figure for these keys."""
    found = ask(name, {key: plain(given) if isinstance(given, Decimal) else str(given) for key, given in keys.items()})
    assert found[1].result.value is not None
    return found[1].result.value


@QUICK
@given(SIZES, SIZES, st.lists(st.integers(0, 2000), min_size=2, max_size=4, unique=True))
def test_r1_r2_grows_with_length(line: str, cpc: str, decimetres: list[int]) -> None:
    """More metres, more ohms, whatever the sizes."""
    ohms = [value("r1-r2", line_mm2=line, cpc_mm2=cpc, length_m=Decimal(dm) / 10) for dm in sorted(decimetres)]

    assert all(low < high for low, high in pairwise(ohms))


@QUICK
@given(st.lists(st.integers(-20, 120), min_size=2, max_size=4, unique=True), st.sampled_from(["copper", "aluminium"]))
def test_r1_r2_grows_with_temperature(degrees: list[int], material: str) -> None:
    """A warmer conductor has more ohms, of copper and of aluminium."""
    keys = {"line_mm2": 16, "cpc_mm2": 10, "length_m": 30, "material": material}
    ohms = [value("r1-r2", temperature_c=t, **keys) for t in sorted(degrees)]

    assert all(low < high for low, high in pairwise(ohms))


@QUICK
@given(decimals(1, 500, 2), st.integers(-20, 120), st.integers(-20, 120))
def test_a_temperature_there_and_back_changes_nothing(ohm: Decimal, start: int, end: int) -> None:
    """A resistance taken from one temperature to another and back is itself, to 20 digits."""
    there = value("resistance-at-temperature", ohm=ohm, from_c=start, to_c=end)
    back = value("resistance-at-temperature", ohm=round(there, 12), from_c=end, to_c=start)

    assert abs(back - ohm) < Decimal("1e-9")


@QUICK
@given(
    decimals(1, 300, 2),
    decimals(1, 300, 2),
    st.sampled_from(["at_most", "at_least"]),
    st.lists(st.integers(0, 60), min_size=2, max_size=4, unique=True),
    st.integers(0, 9),
)
def test_a_wider_guard_band_never_turns_a_fail_into_a_pass(
    measured: Decimal, limit: Decimal, side: str, percents: list[int], digits: int
) -> None:
    """The guard widens with the uncertainty: a pass may become conditional, a fail may, and neither crosses over."""
    outcomes = []
    widths = []
    for pct in sorted(percents):
        keys = {"measured": plain(measured), side: plain(limit), "uncertainty_pct": str(pct), "digits": str(digits)}
        answer = ask("guard-band", {**keys, "resolution": "0.01"})[1]
        assert answer.verdict is not None
        outcomes.append(answer.verdict)
        widths.append(answer.also["uncertainty"].value)
    passes = measured <= limit if side == "at_most" else measured >= limit

    good = {Outcome.PASS, Outcome.CONDITIONAL_PASS}
    assert widths == sorted(widths, key=lambda width: width or 0)
    assert all((outcome in good) is passes for outcome in outcomes)
    certainty = [outcome in (Outcome.PASS, Outcome.FAIL) for outcome in outcomes]
    assert certainty == sorted(certainty, reverse=True)


UNIT_PAIRS = [
    (a.symbol, b.symbol) for a in UNITS.values() for b in UNITS.values() if a.kind == b.kind and a.symbol < b.symbol
]


@QUICK
@given(decimals(0, 10**9, 6), st.sampled_from(UNIT_PAIRS))
def test_conversions_round_trip(number: Decimal, pair: tuple[str, str]) -> None:
    """A number in another unit of its kind and back is itself: exactly where the quotient ends, else to 20 digits."""
    there = convert(number, *pair)

    assert abs(convert(there, *reversed(pair)) - number) <= Decimal("1e-18") * max(number, Decimal(1))


@QUICK
@given(st.lists(decimals(1, 30000, 2), min_size=1, max_size=6))
def test_insulations_together_are_below_the_lowest(parts: list[Decimal]) -> None:
    """Any number of insulations together read no more than the lowest of them."""
    together = value("insulation-parallel", megohm=",".join(map(plain, parts)))

    assert together <= min(parts)


@QUICK
@given(decimals(100, 30000, 2), decimals(100, 30000, 2))
def test_a_circuit_is_recovered_from_the_board(circuit: Decimal, rest: Decimal) -> None:
    """What the board reads with it, and without it, gives the circuit back."""
    with_it = insulation.whole_board_megohm([circuit], rest=rest)

    found = insulation.recovered_megohm(with_it, rest)

    assert found is not None
    assert abs(found - circuit) < Decimal("1e-15")


@QUICK
@given(st.sampled_from("BCD"), st.lists(st.integers(1, 125), min_size=2, max_size=4, unique=True))
def test_a_larger_breaker_has_a_smaller_limit(curve: str, ratings: list[int]) -> None:
    """Along the ratings of one curve the largest Zs falls."""
    ohms = [value("zs-limit", curve=curve, rating_a=a) for a in sorted(ratings)]

    assert all(low > high for low, high in pairwise(ohms))


EXTREME = st.sampled_from(["0", "1", "999999999999", "0.000000000001", "-999999999999", "0.5", "123456.789"])
WORDS = {
    "curve": st.sampled_from(["B", "C", "D"]),
    "fuse": st.sampled_from(["BS 88-3", "BS 1361"]),
    "type": st.sampled_from(["general", "delayed", "AC"]),
    "material": st.sampled_from(["copper", "aluminium"]),
    "phases": st.sampled_from(["1", "3"]),
    "edition": st.sampled_from(["17th", "A2", "iec"]),
}


@QUICK
@given(st.sampled_from(sorted(ASKED)), st.data())
def test_extreme_numbers_give_a_figure_or_our_error(name: str, data: st.DataObject) -> None:
    """The largest and smallest numbers that can be typed end in an answer or in a sentence, never in a fault."""
    keys = {
        key: data.draw(WORDS.get(key, EXTREME), label=key) for key in ASKED[name].all_keys if data.draw(st.booleans())
    }
    try:
        answer = ask(name, keys)[1]
    except AskError:
        return
    assert answer.result.value is None or answer.result.value.is_finite()


@QUICK
@given(
    st.sampled_from(sorted(ASKED)),
    st.dictionaries(
        st.one_of(
            st.sampled_from(sorted({key for named in ASKED.values() for key in named.all_keys})), st.text(max_size=6)
        ),
        st.one_of(st.text(max_size=8), st.sampled_from(["0", "1", "-1", "0.5", "230", "B", "BS 88-3", ">200", "1,2"])),
        max_size=6,
    ),
)
def test_any_keys_give_a_figure_or_our_error(name: str, keys: dict[str, str]) -> None:
    """Whatever is typed, there is an answer with a source, or a sentence that says what is wrong."""
    try:
        answer = ask(name, keys)[1]
    except AskError:
        return
    assert answer.source
    assert answer.basis in ("published", "from memory", "common practice")
    assert answer.formula
    assert answer.put_in
