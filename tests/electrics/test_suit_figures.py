"""The device on paper and the board around it: rating, selectivity, loads, one circuit out of a board."""

from __future__ import annotations

from collections.abc import Callable
from decimal import Decimal

import pytest

from ferrule.engine.electrics.figures import Figure, Inputs, Unknown, compute
from ferrule.engine.electrics.model import Upstream
from ferrule.engine.quantity.reading import Reading

Changed = Callable[..., Inputs]


def figure(name: str, inputs: Inputs) -> Figure:
    """The figure, which must be there."""
    found = compute(name, inputs)
    assert isinstance(found, Figure), found.reason
    return found


@pytest.mark.parametrize(
    ("breaking", "declared", "rating", "source"),
    [
        ("6", False, "6", "leaflet"),
        ("6", True, "16", "61439-3"),
        ("25", True, "25", "leaflet"),
    ],
)
def test_the_board_may_break_more_than_the_device(
    changed: Changed, breaking: str, declared: bool, rating: str, source: str
) -> None:
    """The conditional rating counts only where the card says that the board is declared for the device."""
    inputs = changed(device={"breaking_ka": Decimal(breaking)}, supply={"conditional_rating": declared})
    found = figure("fault.rating", inputs)

    assert found.value == Decimal(rating)
    assert source in found.source


@pytest.mark.parametrize(
    ("upstream", "delayed", "own_delayed", "ratio"),
    [
        ("100", True, False, "3.333"),
        ("100", False, False, "0"),
        ("30", True, False, "1"),
        ("300", True, True, "0"),
    ],
)
def test_an_upstream_device_waits_only_when_it_is_delayed(
    changed: Changed, upstream: str, delayed: bool, own_delayed: bool, ratio: str
) -> None:
    """Three times and delayed is selective (536.4.1.4, from memory); without delay either may go first."""
    inputs = changed(supply={"upstream": Upstream(Decimal(upstream), delayed)}, device={"delayed": own_delayed})

    assert figure("upstream.ratio", inputs).value.quantize(Decimal(ratio)) == Decimal(ratio)
    assert figure("upstream.least", inputs).value == 3


@pytest.mark.parametrize("upstream", [None, Upstream(None, delayed=False)])
def test_no_upstream_device_has_no_ratio(changed: Changed, upstream: Upstream | None) -> None:
    """Neither a device that nobody named nor none at all gives a number."""
    assert isinstance(compute("upstream.ratio", changed(supply={"upstream": upstream})), Unknown)


@pytest.mark.parametrize(
    ("kind", "loads", "unsuited"),
    [
        ("A", ("general", "no-dc"), "0"),
        ("AC", ("general", "no-dc"), "1"),
        ("A", ("single-phase-drive", "smooth-dc"), "2"),
        ("F", ("single-phase-drive", "smooth-dc"), "1"),
        ("B", ("single-phase-drive", "smooth-dc"), "0"),
        ("A", (), "0"),
    ],
)
def test_each_load_is_held_against_the_residual_type(
    changed: Changed, kind: str, loads: tuple[str, ...], unsuited: str
) -> None:
    """A load that blinds the type counts; how many do is what is judged (531.3.3)."""
    inputs = changed(device={"residual_type": kind}, load_kinds=loads)

    assert figure("loads.unsuited", inputs).value == Decimal(unsuited)


def test_a_load_that_nobody_sorted_leaves_it_open(changed: Changed) -> None:
    """One load without a kind, and the figure is not known; it is never taken as harmless."""
    assert isinstance(compute("loads.unsuited", changed(load_kinds=("general", ""))), Unknown)


def board(with_it: str, without_it: str) -> dict[str, Reading]:
    """The board read with the circuit and without it, on a display of 0.1 MΩ."""
    step = Decimal("0.1")
    return {
        "board/with": Reading.measured(Decimal(with_it), "Mohm", resolution=step),
        "board/without": Reading.measured(Decimal(without_it), "Mohm", resolution=step),
    }


def test_one_circuit_is_taken_out_of_the_boards_insulation(changed: Changed) -> None:
    """20 MΩ with and 100 MΩ without is 25 MΩ of the circuit; half a step of the display makes it a little less."""
    low = figure("insulation.recovered", changed(readings=board("20.0", "100.0"))).value

    assert Decimal("24.8") < low < Decimal(25)


def test_a_display_that_cannot_tell_gives_the_least(changed: Changed) -> None:
    """Equal readings say only that the circuit is high; what is given is the least that it can be."""
    low = figure("insulation.recovered", changed(readings=board("50.0", "50.0"))).value

    assert low > Decimal(10_000)


def test_a_dead_short_is_nought(changed: Changed) -> None:
    """0 MΩ with the circuit on stays 0 MΩ; it is not divided by anything."""
    assert figure("insulation.recovered", changed(readings=board("0.0", "100.0"))).value == 0


@pytest.mark.parametrize("readings", [{}, board("60.0", "50.0")])
def test_no_circuit_comes_out_of_readings_that_are_none(changed: Changed, readings: dict[str, Reading]) -> None:
    """A board that reads more with a circuit than without was read wrongly, and that is said."""
    assert isinstance(compute("insulation.recovered", changed(readings=readings)), Unknown)


@pytest.mark.parametrize(
    ("name", "setting", "text", "point"),
    [
        ("loop.limit", "measured-factor", "0.8", ""),
        ("loop.limit", "loop-rule", "two-thirds", ""),
        ("loop.table", "cmin", "0.95", ""),
        ("rcd.limit", "rcd-general-ms", "300 ms", ""),
        ("leakage.limit", "leakage-share", "0.3", ""),
        ("ring.step-three", "step-three", "same-everywhere", "S5"),
    ],
)
def test_a_figure_names_where_its_setting_comes_from(
    changed: Changed, name: str, setting: str, text: str, point: str
) -> None:
    """The source of a figure holds the name of each setting it is built from, and that setting's own source."""
    settings = {setting: text}
    readings = {"r1": "0.44", "r2": "0.73"}
    inputs = changed(settings=settings, setting_sources={setting: "clause 1 of a test"}, readings=readings)
    found = compute(name, inputs, point)
    assert isinstance(found, Figure), found.reason

    assert f"setting {setting}: clause 1 of a test" in found.source
