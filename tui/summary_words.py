"""Scope and summary of a job, read before its first step is answered: what it covers, what it leaves out, its figures.

Must never: say more than card and plan do; a figure stands here as the card has it.
"""

from __future__ import annotations

from ferrule.engine.electrics.model import Known
from ferrule.engine.procedure.compiled import Job
from ferrule.engine.quantity.exact import plain


def summary_lines(job: Job) -> tuple[str, ...]:
    """Return the summary of a job, one line for each part of it; its title is always in sight."""
    plan, card = job.plan, job.card
    lines = (
        f"Place: {card.site}, board {card.board}, way {card.way}.",
        f"Purpose: {plan.purpose}",
        f"Covers: {plan.covers}" if plan.covers else "",
        f"Leaves out: {plan.leaves_out}" if plan.leaves_out else "",
        f"Figures of the card: {'; '.join(_figures(job))}.",
    )
    return tuple(line for line in lines if line)


def _figures(job: Job) -> tuple[str, ...]:
    card = job.card
    circuit, device, supply = card.circuit, card.device, card.supply
    return (
        f"{circuit.kind} of {circuit.name}, {plain(circuit.line_mm2)} and {plain(circuit.cpc_mm2)} mm²,"
        f" {_known(circuit.length_m, 'm')}",
        f"device {device.curve} {plain(device.rating_a)} A, {plain(device.residual_ma)} mA,"
        f" type {device.residual_type}",
        f"supply {supply.earthing}, Ze {_known(supply.ze_ohm, 'Ω')}",
        f"sign-off {card.sign_off}",
    )


def _known(value: Known, unit: str) -> str:
    return "not known" if value.value is None else f"{plain(value.value)} {unit} ({value.how.value})"
