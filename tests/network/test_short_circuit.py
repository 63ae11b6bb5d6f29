"""Fault currents and loop impedances of small networks against pandapower's short circuit after IEC 60909."""

from __future__ import annotations

import math
import random
from dataclasses import dataclass, replace
from decimal import Decimal
from typing import Any

import pytest

from ferrule.engine.electrics.asked_names import ask
from ferrule.engine.electrics.figures import Figure, compute
from tests.support.outside import need

need("numpy")
need("pandapower")

from tests.network import laplace  # noqa: E402 - it needs the packages that are asked for above
from tests.network.laplace import Drawing  # noqa: E402
from tests.network.test_independent import job_of  # noqa: E402

U0_V = 230.0
C_MIN, C_MAX = 0.95, 1.05
"""Voltage factors of IEC 60909 for low voltage with a tolerance of 6 %."""
NEAR = 1e-6
"""Largest relative difference; the source of the model has a small impedance of its own."""


@dataclass(frozen=True)
class Small:
    """A ring or a radial behind a supply; the radial is the ring with its last stretch cut away."""

    drawing: Drawing
    kind: str

    @property
    def far(self) -> str:
        """The point that is faulted."""
        return f"S{len(self.drawing.sockets_dm)}"


def networks() -> list[Small]:
    """Twenty-four networks, the same at each run: rings and radials in turn."""
    chance = random.Random("short circuit")
    drawn = (replace(laplace.draw(chance, faults=False), spurs=()) for _ in range(24))
    return [Small(drawing, ("ring", "radial")[at % 2]) for at, drawing in enumerate(drawn)]


def model(small: Small) -> tuple[Any, int]:
    """The network in pandapower, and the bus of the far point; zero sequence carries three times the return."""
    import pandapower

    net = pandapower.create_empty_network()
    stiff = {"s_sc_max_mva": 1e9, "s_sc_min_mva": 1e9, "rx_max": 0.1, "rx_min": 0.1}
    zero = {"x0x_max": 1.0, "x0x_min": 1.0, "r0x0_max": 0.1, "r0x0_min": 0.1}
    volts = U0_V * math.sqrt(3) / 1000
    origin = pandapower.create_bus(net, volts)
    pandapower.create_ext_grid(net, origin, **stiff, **zero)

    def cable(start: int, end: int, metres: float, line: float, back: float) -> None:
        pandapower.create_line_from_parameters(
            net,
            start,
            end,
            length_km=metres / 1000,
            r_ohm_per_km=line * 1000,
            x_ohm_per_km=0,
            c_nf_per_km=0,
            max_i_ka=1,
            r0_ohm_per_km=(line + 3 * back) * 1000,
            x0_ohm_per_km=0,
            c0_nf_per_km=0,
            endtemp_degree=20,
        )

    drawing = small.drawing
    board = pandapower.create_bus(net, volts)
    cable(origin, board, 1.0, drawing.ze / 2, drawing.ze / 2)
    metres = [0.0, *(dm / 10 for dm in drawing.sockets_dm)]
    buses = [board, *(pandapower.create_bus(net, volts) for _ in drawing.sockets_dm)]
    for at in range(len(buses) - 1):
        cable(buses[at], buses[at + 1], metres[at + 1] - metres[at], drawing.per_m("L"), drawing.per_m("E"))
    if small.kind == "ring":
        cable(buses[-1], board, drawing.length_dm / 10 - metres[-1], drawing.per_m("L"), drawing.per_m("E"))
    return net, buses[-1]


def fault_ka(net: Any, bus: int, kind: str, case: str) -> float:
    """The short-circuit current at a bus in kA."""
    from pandapower import shortcircuit

    shortcircuit.calc_sc(net, fault=kind, case=case, lv_tol_percent=6, bus=bus)
    return float(net.res_bus_sc.at[bus, "ikss_ka"])


def zs_of(small: Small) -> Decimal:
    """Zs at the far point by ferrule, both legs of a ring landed."""
    job = job_of(small.drawing)
    job = replace(job, circuit=replace(job.circuit, kind=small.kind))
    found = compute("loop.zs", job, small.far)
    assert isinstance(found, Figure)
    return found.low


def current_a(z_ohm: Decimal, **keys: str) -> float:
    """The fault current of a loop by the command."""
    value = ask("fault-current", {"z_ohm": f"{z_ohm:.12f}", "u0_v": "230", **keys})[1].result.value
    assert value is not None
    return float(value)


@pytest.mark.slow
@pytest.mark.filterwarnings("ignore")
@pytest.mark.parametrize("small", networks(), ids=lambda small: f"{small.kind}-{small.drawing.length_dm}")
def test_line_to_earth_current_and_loop(small: Small) -> None:
    """Smallest and largest line-to-earth current, and the loop impedance behind them, agree (Cmin·U0/Zs)."""
    net, bus = model(small)
    zs = zs_of(small)

    for case, factor in (("min", C_MIN), ("max", C_MAX)):
        ikss_a = fault_ka(net, bus, "1ph", case) * 1000
        assert ikss_a == pytest.approx(factor * current_a(zs), rel=NEAR)
        assert float(zs) == pytest.approx(factor * U0_V / ikss_a, rel=NEAR)


@pytest.mark.slow
@pytest.mark.filterwarnings("ignore")
@pytest.mark.parametrize("small", networks()[:6], ids=lambda small: f"{small.kind}-{small.drawing.length_dm}")
def test_twice_the_single_phase_value_covers_three_phases(small: Small) -> None:
    """Twice the line-to-neutral current is the three-phase current where the neutral is as thick as the line."""
    whole = replace(small, drawing=replace(small.drawing, cpc=small.drawing.line))
    net, bus = model(whole)

    three_a = fault_ka(net, bus, "3ph", "max") * 1000 / C_MAX

    assert three_a == pytest.approx(current_a(zs_of(whole), phases="3"), rel=NEAR)


@pytest.mark.slow
@pytest.mark.filterwarnings("ignore")
@pytest.mark.parametrize(("curve", "rating"), [("B", 6), ("B", 32), ("C", 16), ("D", 20)])
def test_a_loop_at_the_limit_carries_just_the_operating_current(curve: str, rating: int) -> None:
    """Behind the largest Zs of a breaker the smallest short-circuit current is its operating current."""
    answer = ask("zs-limit", {"curve": curve, "rating_a": str(rating)})[1]
    ia, limit = answer.also["operating_current"].value, answer.result.value
    assert ia is not None
    assert limit is not None
    drawing = Drawing("2.5", "1.5", 100, (1,), (), ze=float(limit) - 0.1 * (7.41 + 12.1) / 1000)

    net, bus = model(Small(drawing, "radial"))

    assert fault_ka(net, bus, "1ph", "min") * 1000 == pytest.approx(float(ia), rel=NEAR)


def test_the_networks_are_rings_and_radials_of_many_sizes() -> None:
    """At least twenty networks are tried, of both kinds."""
    kinds = [small.kind for small in networks()]

    assert len(kinds) >= 20
    assert min(kinds.count(kind) for kind in ("ring", "radial")) >= 10
