"""What a limits file may set: each number and choice moves the figure that rests on it, and a wrong one is named."""

from __future__ import annotations

from collections.abc import Callable
from decimal import Decimal

import pytest

from ferrule.engine.electrics.figures import Figure, Inputs, Unknown, compute

Changed = Callable[..., Inputs]
TT = {"earthing": "TT"}


def value(name: str, inputs: Inputs, point: str = "") -> Decimal:
    """The figure, which must be there."""
    found = compute(name, inputs, point)
    assert isinstance(found, Figure), found.reason
    return found.high


@pytest.mark.parametrize(
    ("setting", "text", "name", "before", "after"),
    [
        ("cmin", "1", "loop.table", "1.37", "1.44"),
        ("measured-factor", "0.75", "loop.limit", "1.096", "1.0275"),
        ("supply-below", "10 %", "supply.volts-low", "216.2", "207"),
        ("supply-above", "6 %", "supply.volts-high", "253", "243.8"),
        ("ze-tn-c-s", "0.30 ohm", "supply.ze-limit", "0.35", "0.30"),
        ("rcd-general-ms", "200 ms", "rcd.limit", "300", "200"),
        ("rcd-five-ms", "50 ms", "rcd.five", "40", "50"),
        ("leakage-share", "0.25", "leakage.limit", "9", "7.5"),
        ("loop-rule", "two-thirds", "loop.limit", "1.096", "0.9583333333333333333333333333"),
        ("loop-rule", "warm", "loop.limit", "1.096", "1.2"),
    ],
)
def test_a_setting_moves_its_figure(
    demo: Inputs, changed: Changed, setting: str, text: str, name: str, before: str, after: str
) -> None:
    """Nothing of one country or edition stands fast in the code: the limits file sets it."""
    assert value(name, demo) == Decimal(before)
    assert value(name, changed(settings={setting: text})) == Decimal(after)


@pytest.mark.parametrize(
    ("settings", "name", "after"),
    [
        ({}, "loop.limit", "1667"),
        ({"touch-volts": "25 V"}, "loop.limit", "833"),
        ({"tt-loop": "stable-electrode"}, "loop.limit", "200"),
        ({"tt-loop": "stable-electrode", "tt-stable-ohm": "100 ohm"}, "loop.limit", "100"),
        ({}, "rcd.limit", "300"),
        ({"tt-time": "table"}, "rcd.limit", "200"),
        ({"tt-time": "table", "tt-time-ms": "70 ms"}, "rcd.limit", "70"),
        ({"ze-tt": "15 ohm"}, "supply.ze-limit", "15"),
    ],
)
def test_settings_on_tt(changed: Changed, settings: dict[str, str], name: str, after: str) -> None:
    """The electrode that stays stable, the touch voltage and the 0.2 s of the table are choices on TT."""
    assert value(name, changed(supply=TT, settings=settings)) == Decimal(after)


def test_the_warm_sum_rests_on_ze(changed: Changed) -> None:
    """Ze + (1.37 − Ze) ÷ 1.2: a lower Ze lowers the cold limit, and the factor may be set."""
    settings = {"loop-rule": "warm"}
    low = changed(settings={**settings, "warm-factor": "1.28"})

    assert value("loop.limit", low) == Decimal("0.35") + Decimal("1.02") / Decimal("1.28")
    assert value("loop.limit", changed(settings=settings, readings={"ze": "0.20"})) < Decimal("1.2")


def test_delayed_times_may_be_set(changed: Changed) -> None:
    """A delayed device takes its own two settings, and not the general one."""
    settings = {"rcd-general-ms": "1 ms", "rcd-delayed-ms": "400 ms", "rcd-delayed-least-ms": "100 ms"}
    inputs = changed(device={"delayed": True}, settings=settings)

    assert (value("rcd.limit", inputs), value("rcd.least", inputs)) == (400, 100)


def test_step_three_the_same_everywhere(demo: Inputs, changed: Changed) -> None:
    """The older handbook rule expects (r1 + r2)/4 at every socket; by place S1 lies lower."""
    flat = changed(settings={"step-three": "same-everywhere"})

    assert value("ring.step-three", flat, "S1") == value("ring.step-three", flat, "S5")
    assert value("ring.step-three", demo, "S1") < value("ring.step-three", flat, "S1")


@pytest.mark.parametrize(
    ("setting", "text", "name"),
    [
        ("cmin", "nearly one", "loop.table"),
        ("cmin", "1 ohm", "loop.table"),
        ("loop-rule", "half", "loop.limit"),
        ("tt-loop", "any", "loop.limit"),
        ("tt-time", "soon", "rcd.limit"),
        ("step-three", "up", "ring.step-three"),
    ],
)
def test_a_setting_without_meaning_leaves_the_figure_unknown(
    changed: Changed, setting: str, text: str, name: str
) -> None:
    """A wrong setting is named with its text; the usual value is never taken in its place."""
    supply = TT if setting.startswith("tt") else {}
    found = compute(name, changed(supply=supply, settings={setting: text}), "S5")

    assert isinstance(found, Unknown)
    assert setting in found.reason
    assert text in found.reason


@pytest.mark.parametrize(
    ("change", "name", "after"),
    [
        ({}, "loop.time", "0.4"),
        ({"supply": TT}, "loop.time", "0.2"),
        ({"device": {"rating_a": Decimal(80)}}, "loop.time", "5"),
        ({}, "loop.touch", "0.0105"),
        ({"device": {"residual_ma": Decimal(100)}}, "loop.touch", "0.035"),
        ({}, "rcd.ramp-low", "10.5"),
        ({}, "rcd.ramp-high", "42"),
        ({"device": {"residual_type": "AC"}}, "rcd.ramp-low", "15"),
        ({"device": {"residual_type": "AC"}}, "rcd.ramp-high", "30"),
        ({"device": {"delayed": True}}, "rcd.five", "150"),
        ({"circuit": {"cpc_mm2": Decimal("2.5")}}, "ring.ratio", "1"),
    ],
)
def test_figures_by_system_device_and_size(
    changed: Changed, change: dict[str, dict[str, object]], name: str, after: str
) -> None:
    """Disconnection time, touch voltage, ramp band, five times and ratio follow the card."""
    assert value(name, changed(**change)) == Decimal(after)


def test_line_to_neutral_of_a_radial(changed: Changed) -> None:
    """R1+Rn at a point is twice the line conductor to it."""
    radial = changed(circuit={"kind": "radial"})

    assert value("radial.r1rn", radial, "S5") == 2 * Decimal(28) * Decimal("0.00741")
