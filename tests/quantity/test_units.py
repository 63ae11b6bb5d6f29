"""What holds for units: every figure of the table, exact conversion, and nothing across kinds."""

from __future__ import annotations

from decimal import Decimal

import pytest
from hypothesis import given, settings
from hypothesis import strategies as st

from ferrule.engine.quantity.quantity import QuantityError
from ferrule.engine.quantity.units import UNITS, convert, unknown_unit
from ferrule.engine.text import check_text

CONVERSIONS = [
    ("0.30", "ohm", "mohm", "300", "SI prefixes (from memory)"),
    ("1.25", "Mohm", "kohm", "1250", "SI prefixes (from memory)"),
    ("1.37", "ohm", "ohm", "1.37", "the same unit"),
    ("300", "ms", "s", "0.3", "SI prefixes (from memory)"),
    ("90", "min", "h", "1.5", "60 minutes an hour"),
    ("2", "days", "h", "48", "24 hours a day"),
    ("1", "lbfin", "Nm", "0.1129848290276167", "NIST SP 811 appendix B, 1.129848 E-01 (from memory)"),
    ("22", "lbfin", "Nm", "2.4856662386075674", "22 times the exact factor"),
    ("250", "cNm", "Nm", "2.5", "SI prefixes (from memory)"),
    ("80", "%", "1", "0.8", "per cent: one in a hundred"),
    ("30", "mA", "A", "0.03", "SI prefixes (from memory)"),
    ("6", "kA", "A", "6000", "SI prefixes (from memory)"),
    ("9.2", "kW", "W", "9200", "SI prefixes (from memory)"),
    ("25", "mm", "m", "0.025", "SI prefixes (from memory)"),
    ("500", "mV", "V", "0.5", "SI prefixes (from memory)"),
]


@pytest.mark.parametrize(("value", "start", "end", "expect", "source"), CONVERSIONS)
def test_known_conversions_are_exact(value: str, start: str, end: str, expect: str, source: str) -> None:
    """Each published conversion comes out to the last digit, without an exponent."""
    assert source
    assert str(convert(Decimal(value), start, end)) == expect


def test_a_quotient_that_does_not_end_has_28_digits() -> None:
    """One second in hours is rounded once, at the engine's precision."""
    assert convert(Decimal(1), "s", "h") == Decimal("0.0002777777777777777777777777778")


def test_the_table_fits_its_rules() -> None:
    """Symbols are ASCII, factors positive, signs printable, and each kind but area has its base unit."""
    for symbol, unit in UNITS.items():
        assert symbol == unit.symbol
        assert symbol.isascii()
        assert " " not in symbol
        assert unit.ascii.isascii()
        assert unit.factor > 0
        assert check_text(unit.shown) is None
    kinds = {unit.kind for unit in UNITS.values()}
    based = {unit.kind for unit in UNITS.values() if unit.factor == 1}

    assert kinds - based == {"area", "resistance per length"}


def test_no_two_units_look_alike_on_screen() -> None:
    """A sign on screen or in ASCII stands for one unit only."""
    assert len({unit.shown for unit in UNITS.values()}) == len(UNITS)
    assert len({unit.ascii for unit in UNITS.values()}) == len(UNITS)


@settings(max_examples=150, derandomize=True)
@given(
    st.decimals(min_value=0, max_value=10**6, places=6),
    st.sampled_from(sorted(UNITS)),
    st.sampled_from(sorted(UNITS)),
)
def test_there_and_back_is_the_same_or_refused(value: Decimal, one: str, two: str) -> None:
    """Inside a kind the way back gives the number again; across kinds there is no way."""
    if UNITS[one].kind != UNITS[two].kind:
        with pytest.raises(QuantityError, match="is a unit of"):
            convert(value, one, two)
        return
    back = convert(convert(value, one, two), two, one)

    assert abs(back - value) <= value * Decimal("1E-26")


@pytest.mark.parametrize(
    ("symbol", "expect"),
    [
        ("Ohm", '"Ohm" is not a unit that ferrule knows; write "ohm", in just these letters.'),
        ("MOHM", '"MOHM" is not a unit that ferrule knows; write "mohm" or "Mohm", in just these letters.'),
        ("MΩ", '"MΩ" is not a unit that ferrule knows; write "Mohm", in just these letters.'),
        ("N.m", '"N.m" is not a unit that ferrule knows; write "Nm", in just these letters.'),
        ("amps", '"amps" is not a unit that ferrule knows; write '),
        ("", '"" is not a unit that ferrule knows; '),
        ("x" * 500, f'"{"x" * 20}…" is not a unit that ferrule knows; the units are: ohm, '),
    ],
)
def test_an_unknown_unit_gets_its_likely_spelling(symbol: str, expect: str) -> None:
    """Milliohm and megohm are never chosen for the writer: both are offered."""
    assert unknown_unit(symbol).startswith(expect)


def test_the_error_points_at_the_unit() -> None:
    """The caret stands under the unit that does not fit."""
    with pytest.raises(QuantityError) as caught:
        convert(Decimal("0.05"), "ohm", "V")

    assert str(caught.value) == "ohm is a unit of resistance; V is a unit of voltage."
    assert caught.value.caret() == "0.05 ohm\n     ^"
