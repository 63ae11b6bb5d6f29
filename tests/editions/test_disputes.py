"""Where sources disagree the limits file decides: each disputed setting changes what a reading or a step comes to."""

from __future__ import annotations

from dataclasses import dataclass, field
from decimal import Decimal

import pytest

from ferrule.engine.procedure.compiled import Job
from ferrule.engine.quantity.reading import Reading
from ferrule.engine.walk.cells import slots_of
from ferrule.engine.walk.place import step_at
from tests.editions.editions import UK_BEFORE, UK_NOW, job_under, limits_of, text_of, verdict, with_setting


@dataclass(frozen=True)
class Dispute:
    """One reading that two opinions judge differently."""

    setting: str
    other: str
    row: str
    value: str
    unit: str
    function: str
    usual: str
    instead: str
    source: str
    earthing: str = "TN-C-S"
    expect: str = ""
    point: str = ""
    readings: dict[str, str] = field(default_factory=dict)

    def outcome(self, job: Job) -> str:
        """What the reading shows under a job's limits."""
        readings = {key: Reading.measured(Decimal(value), "ohm") for key, value in self.readings.items()}
        found = verdict(
            job,
            self.row,
            self.value,
            self.unit,
            self.function,
            expect=self.expect,
            point=self.point,
            readings=readings,
        )
        return found.outcome.value


ENDS = {"r1": "0.44", "r2": "0.73"}
DISPUTES = [
    Dispute("loop-rule", "two-thirds", "loop-impedance", "0.97", "ohm", "loop", "pass", "conditional-fail",
            "0.8 × 1.37 = 1.096 Ω against 2/3 × 230/160 = 0.958 Ω"),
    Dispute("loop-rule", "warm", "loop-impedance", "1.09", "ohm", "loop", "conditional-pass", "pass",
            "1.096 Ω against 0.35 + (1.37 - 0.35)/1.2 = 1.20 Ω"),
    Dispute("tt-time", "device", "residual-time", "250", "ms", "residual time", "fail", "pass",
            "0.2 s of Table 41.1 against 300 ms of the device", earthing="TT"),
    Dispute("tt-loop", "stable-electrode", "loop-impedance", "400", "ohm", "loop", "pass", "fail",
            "1667 Ω of Table 41.5 against 200 Ω of the On-Site Guide", earthing="TT"),
    Dispute("step-three", "same-everywhere", "ring-step-three", "0.25", "ohm", "low resistance", "pass",
            "conditional-pass", "0.28 Ω by its place against (0.44 + 0.73)/4 = 0.29 Ω", expect="ring.step-three",
            point="S1", readings=ENDS),
    Dispute("insulation-look", "table-only", "insulation", "5.00", "Mohm", "insulation 500", "conditional-pass",
            "pass", "look again below 20 MΩ against the 1 MΩ of Table 64"),
    Dispute("external-impedance-reading", "connected-is-doubtful", "external-impedance-read", "0.30", "ohm", "loop",
            "pass", "conditional-pass", "parallel paths flatter a reading with the earthing conductor on"),
    Dispute("dead-volts", "6 V", "dead-pair", "8", "V", "indicator", "pass", "fail",
            "no published threshold: 12 V is a usual lowest step"),
]  # fmt: skip


@pytest.mark.parametrize("dispute", DISPUTES, ids=lambda d: f"{d.setting}-{d.other}")
def test_each_disputed_setting_changes_a_verdict(dispute: Dispute) -> None:
    """One reading, judged under the packaged opinion and under the other one."""
    assert dispute.source
    usual = job_under(limits_of(UK_NOW), dispute.earthing)
    instead = job_under(with_setting(UK_NOW, dispute.setting, dispute.other), dispute.earthing)

    assert dispute.outcome(usual) == dispute.usual
    assert dispute.outcome(instead) == dispute.instead


def asked(job: Job) -> set[str]:
    """The places that the trip-time step asks for."""
    step = step_at(job, "residual-time/time")
    assert step is not None
    return {slot.cell.id for slot in slots_of(job, step)}


def test_the_residual_test_asks_as_its_edition_does() -> None:
    """One test at the rated current, or half, one and five times: the step asks for more places, judged by 40 ms."""
    one, three = job_under(limits_of(UK_NOW)), job_under(with_setting(UK_NOW, "residual-test", "half-one-five"))

    assert asked(three) - asked(one) == {"half", "five"}
    assert asked(job_under(limits_of(UK_BEFORE))) == asked(three)
    assert verdict(three, "residual-five", "60", "ms", "residual time").outcome == "fail"
    assert verdict(three, "residual-five", "20", "ms", "residual time").outcome == "pass"


@pytest.mark.parametrize(
    ("setting", "value", "row", "reading", "unit", "function", "before", "after"),
    [
        ("cmin", "0.80", "loop-impedance", "0.97", "ohm", "loop", "pass", "conditional-fail"),
        ("measured-factor", "0.7", "loop-impedance", "0.97", "ohm", "loop", "pass", "conditional-fail"),
        ("supply-below", "10 %", "supply-volts", "210", "V", "voltage", "fail", "pass"),
        ("supply-above", "5 %", "supply-volts", "245", "V", "voltage", "pass", "fail"),
        ("leakage-share", "0.2", "leakage", "8.0", "mA", "clamp", "pass", "fail"),
        ("ze-tn-c-s", "0.20 ohm", "external-impedance", "0.30", "ohm", "loop", "pass", "fail"),
        ("rcd-general-ms", "200 ms", "residual-time", "250", "ms", "residual time", "pass", "fail"),
        ("rcd-five-ms", "30 ms", "residual-five", "35", "ms", "residual time", "pass", "fail"),
        ("table-insulation", "0.5 Mohm", "insulation", "0.80", "Mohm", "insulation 500", "fail", "conditional-fail"),
        ("refer-below", "4 Mohm", "insulation", "3.00", "Mohm", "insulation 500", "conditional-pass",
         "conditional-fail"),
        ("look-again", "4 Mohm", "insulation", "5.00", "Mohm", "insulation 500", "conditional-pass", "pass"),
    ],
)  # fmt: skip
def test_each_number_of_a_file_reaches_the_verdict(
    setting: str, value: str, row: str, reading: str, unit: str, function: str, before: str, after: str
) -> None:
    """A number written otherwise in the file changes what a reading shows; none is fixed in the code."""
    usual, instead = job_under(limits_of(UK_NOW)), job_under(with_setting(UK_NOW, setting, value))

    found = [verdict(job, row, reading, unit, function).outcome.value for job in (usual, instead)]

    assert found == [before, after]


def test_each_dispute_has_its_reason() -> None:
    """Every disputed setting of the file stands with its why and its source, in words."""
    text = text_of(UK_NOW)

    for name in {dispute.setting for dispute in DISPUTES} | {"residual-test", "proof-minutes", "away-minutes"}:
        block = text.split(f"  {name}:\n", 1)[1].splitlines()[:3]
        assert [line.split(":")[0].strip() for line in block] == ["value", "why", "source"]
        assert all(len(line.split(": ", 1)[1].split()) > 1 for line in block[1:])
