"""Saltmarsh Pottery, board KR1, way 4, as a card would give it, and a way to change one thing of it."""

from __future__ import annotations

from collections.abc import Callable, Mapping
from dataclasses import replace
from decimal import Decimal

import pytest

from ferrule.engine.electrics.figures import Inputs
from ferrule.engine.electrics.model import (
    Circuit,
    Device,
    How,
    Known,
    Point,
    Supply,
    Terminal,
    TorqueTool,
)
from ferrule.engine.quantity.reading import Reading

UNKNOWN = Known(None, How.UNKNOWN)


def known(number: str, how: How = How.MEASURED) -> Known:
    """A number of the card and how it is known."""
    return Known(Decimal(number), how)


def demo_circuit() -> Circuit:
    """The bench sockets: 60 m of 2.5/1.5 mm², ten sockets, one spur of 6 m from S5."""
    metres = ("8", "13", "18", "23", "28", "33", "38", "43", "48", "53")
    sockets = tuple(Point(f"S{place}", f"socket {place}", known(metre)) for place, metre in enumerate(metres, start=1))
    spur = Point("P1", "spur", UNKNOWN, "S5", known("6"))
    return Circuit(
        kind="ring",
        name="bench sockets",
        line_mm2=Decimal("2.5"),
        cpc_mm2=Decimal("1.5"),
        length_m=known("60"),
        points=(*sockets, spur),
        points_how=How.RECORD,
        new_wiring=False,
    )


def demo_device() -> Device:
    """The invented 32 A type B device with a load terminal that has a band and a bar screw that has not."""
    return Device(
        curve="B",
        rating_a=Decimal(32),
        residual_ma=Decimal(30),
        residual_type="A",
        delayed=False,
        poles="double",
        breaking_ka=Decimal(10),
        bidirectional=True,
        functional_earth_lead=False,
        insulation_rule="out",
        leaflet="L-7 (invented)",
        terminals=(
            Terminal("load-l", "load line", "two 2.5 mm²", 2, Decimal("2.0"), Decimal("2.5"), None),
            Terminal("bar-n", "neutral bar", "one 4 mm²", 1, None, None, Decimal("1.2")),
            Terminal("mute", "blank", "none", 0, None, None, None),
        ),
    )


@pytest.fixture
def demo() -> Inputs:
    """The whole job with no reading taken yet."""
    tool = TorqueTool("TT-1", "0417", "2027-01-31", Decimal("1.0"), Decimal("3.0"), Decimal("0.1"), Decimal(6))
    supply = Supply("TN-C-S", 1, Decimal(230), known("0.35"), known("0.66"))
    return Inputs(demo_circuit(), supply, demo_device(), UNKNOWN, {"TT-1": tool}, {}, {})


Changed = Callable[..., Inputs]


@pytest.fixture
def changed(demo: Inputs) -> Changed:
    """The job with one thing changed: `circuit`, `supply`, `device` take fields; `readings` takes ohms."""

    def change(
        *,
        circuit: Mapping[str, object] | None = None,
        supply: Mapping[str, object] | None = None,
        device: Mapping[str, object] | None = None,
        readings: Mapping[str, str | Reading] | None = None,
        **rest: object,
    ) -> Inputs:
        taken = {
            key: reading if isinstance(reading, Reading) else Reading.measured(Decimal(reading), "ohm")
            for key, reading in (readings or {}).items()
        }
        made = replace(
            demo,
            circuit=replace(demo.circuit, **(circuit or {})),  # type: ignore[arg-type]
            supply=replace(demo.supply, **(supply or {})),  # type: ignore[arg-type]
            device=replace(demo.device, **(device or {})),  # type: ignore[arg-type]
            readings=taken,
        )
        return replace(made, **rest)  # type: ignore[arg-type]

    return change
