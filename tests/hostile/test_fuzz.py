"""Any bytes and any text give a value or our error, and soon."""

import pytest

from tests.hostile.fuzz import TARGETS, fuzz


def fair(refused: dict[str, int]) -> bool:
    """True when every reader that can refuse did so now and then."""
    return all(refused[t.__name__] > 0 for t in TARGETS if t.__name__ not in ("_load", "_text"))


def test_hostile_input_gives_a_value_or_our_error() -> None:
    """Spoiled files, logs, diaries, lines, readings and texts never raise another error than ours, each within two
    seconds. Shows: RI-02."""
    assert fair(fuzz(1_400, 1))


@pytest.mark.slow
def test_hostile_input_twenty_thousand_times() -> None:
    """The same, 20,000 times. Shows: RI-02."""
    assert fair(fuzz(20_000, 2))


@pytest.mark.nightly
def test_hostile_input_a_million_times() -> None:
    """The same, a million times. Shows: RI-02."""
    assert fair(fuzz(1_000_000, 3))
