"""The sheet of each variant holds the figures of the trade, and its limits are those of its kind of circuit."""

from __future__ import annotations

from dataclasses import dataclass
from decimal import Decimal

import pytest

from ferrule.tui.expect_command import Line, sheet
from tests.support.jobs import job_of


@dataclass(frozen=True)
class Row:
    """A figure that a variant's sheet must hold."""

    card: str
    procedure: str
    cell: str
    point: str
    wanted: str
    source: str


EXPECTED = (
    Row("lighting-radial", "protective-conductor-radial", "ohm", "L5", "1.06", "trade brief V1: 35 m of 1.5/1.0"),
    Row("lighting-radial", "protective-conductor-radial", "ohm", "L1", "0.21", "7 m × 30.2 mΩ/m"),
    Row("lighting-radial", "read-loop", "zs", "L5", "1.41", "0.35 Ω + 1.057 Ω"),
    Row("shower-split-load", "protective-conductor-radial", "ohm", "P2", "0.10", "15 m × (1.83 + 4.61) mΩ/m"),
    Row("shower-split-load", "device-on-paper", "time", "", "5", "above 32 A, fixed equipment on TN: 5 s, 411.3.2.3"),
    Row("lighting-radial", "device-on-paper", "time", "", "0.4", "Table 41.1, TN at 230 V"),
    Row("outbuilding-tt", "device-on-paper", "time", "", "0.2", "Table 41.1, TT at 230 V"),
    Row("outbuilding-tt", "external-impedance", "electrode", "", "78", "trade brief §2.3: YD1, 78 Ω"),
    Row("outbuilding-tt", "external-impedance", "touch", "", "2.34", "78 Ω × 30 mA"),
    Row("outbuilding-tt", "read-loop", "zs", "S3", "78.47", "78 Ω + 24 m × 19.51 mΩ/m"),
    Row("three-phase-way", "fault-current", "ln", "", "1.15", "230 V ÷ 0.20 Ω, one phase"),
    Row("old-fly-leads", "protective-conductor-radial", "ohm", "S3", "0.59", "30 m × 19.51 mΩ/m"),
)

HIGHEST = (
    Row("lighting-radial", "read-loop", "zs", "L5", "5.824", "trade brief V1: 0.8 × 7.28 Ω"),
    Row("shower-split-load", "read-loop", "zs", "P2", "0.872", "0.8 × 1.09 Ω, B40"),
    Row("outbuilding-tt", "read-loop", "zs", "S3", "1667", "R-17: 50 V ÷ 30 mA"),
    Row("outbuilding-tt", "residual-time", "ms", "", "200", "Table 41.1, TT, before the device's 300 ms"),
    Row("outbuilding-tt", "residual-time", "touch", "", "50", "R-22"),
    Row("shower-split-load", "time-section", "ms", "section", "300", "R-18, general type"),
    Row("old-fly-leads", "read-loop", "zs", "S3", "2.184", "0.8 × 2.73 Ω, B16"),
    Row("three-phase-way", "read-loop", "zs", "S3", "1.752", "0.8 × 2.19 Ω, B20"),
)


def line_of(row: Row) -> Line:
    """Return the one line of a card's sheet that a row is about."""
    wanted = (row.procedure, row.cell, row.point)
    (found,) = [x for x in sheet(job_of(row.card), {}) if (x.procedure, x.cell, x.point) == wanted]
    return found


@pytest.mark.parametrize("row", EXPECTED, ids=lambda r: f"{r.card}-{r.cell}-{r.point}")
def test_expected_reading_is_that_of_the_trade(row: Row) -> None:
    """What is expected at a place, shown in the step of the figure, is the published or computed value."""
    line, wanted = line_of(row), Decimal(row.wanted)

    assert row.source
    assert line.low is not None
    assert line.high is not None
    assert line.low.quantize(wanted) <= wanted <= line.high.quantize(wanted)


@pytest.mark.parametrize("row", HIGHEST, ids=lambda r: f"{r.card}-{r.cell}-{r.point}")
def test_limit_is_that_of_the_variant(row: Row) -> None:
    """The end of what passes is the exact limit for this kind of circuit, device and supply."""
    (passing,) = line_of(row).passes

    assert row.source
    assert passing.high == Decimal(row.wanted)
    assert passing.high_closed


def test_largest_fault_current_of_three_phases_is_doubled() -> None:
    """At a board of three phases the device is held against twice the line-to-neutral current of one phase."""
    row = Row(
        "three-phase-way", "fault-current", "highest", "", "2.30", "trade brief §2: on three phases twice the highest"
    )

    assert line_of(row).low == Decimal(row.wanted)
