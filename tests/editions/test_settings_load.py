"""Settings as numbers and as choices of rows: what is wrong with one is found at its place."""

from __future__ import annotations

import pytest

from ferrule.engine.procedure.load import compile_parts, load_limits
from ferrule.engine.shell.sets import packaged_set, set_texts
from tests.editions.editions import ALL, INTERNATIONAL, UK_NOW, text_of
from tests.support.jobs import REFERENCE, card_path

HEAD = """limits: small
title: Small
edition: invented
withdrawn on: none
settings:
  away-minutes: {value: "10", why: No figure was found., source: invented}
  proof-minutes: {value: "5", why: No figure was found., source: invented}
"""
ROW = """  - row: pair
    title: Pair
    unit: V
    bands:
      - pass: below setting dead-volts
      - fail: from setting dead-volts
    source: invented
    basis: common practice
"""
DEAD = "  dead-volts: {value: 12 V, why: No figure was found., source: invented}\n"
LOOK = "  insulation-look: {value: table-only, why: It is enough here., source: invented}\n"


def codes(text: str) -> list[tuple[str, int]]:
    """The codes that are found in a text, each with its line."""
    _, found = load_limits(text, "small")
    return [(finding.code, finding.place.line if finding.place else 0) for finding in found]


def test_a_band_takes_its_number_from_a_setting() -> None:
    """`below setting dead-volts` is the number of that setting, in the unit of the row."""
    limits, found = load_limits(f"{HEAD}{DEAD}rows:\n{ROW.replace('unit: V', 'unit: mV')}", "small")

    assert found == ()
    assert limits is not None
    assert [str(b.high.value) if b.high else "" for b in limits.rows["pair"].bands] == ["12000", ""]


@pytest.mark.parametrize(
    ("text", "code", "line"),
    [
        (f"{HEAD}rows:\n{ROW}", "missing-key", 13),
        (f"{HEAD}{DEAD}rows:\n{ROW.replace('setting dead-volts', 'setting dead-vols', 1)}", "unknown-key", 14),
        (f"{HEAD}{DEAD.replace('12 V', '12 ohm')}rows:\n{ROW}", "unit-mismatch", 8),
        (f"{HEAD}{DEAD.replace('12 V', 'twelve')}rows:\n{ROW}", "bad-quantity", 8),
        (f"{HEAD}{DEAD}rows:\n{ROW.replace('unit: V', 'unit: ohm')}", "unit-mismatch", 14),
        (f"{HEAD}{DEAD}rows:\n{ROW}    when: [insulation-lok is table-only]\n", "unknown-key", 18),
        (f"{HEAD}{DEAD}rows:\n{ROW}    when: [insulation-look is never]\n", "wrong-value", 18),
        (f"{HEAD}{DEAD}rows:\n{ROW}    when: [insulation-look is table-only]\n", "missing-key", 18),
        (f"{HEAD}{DEAD}{LOOK}rows:\n{ROW}    when: [insulation-look is look-again]\n", "unknown-limit", 11),
        (f"{HEAD}{DEAD}{LOOK}rows:\n{ROW}    when: [insulation-look is table-only]\n{ROW}", "duplicate-id", 20),
    ],
)
def test_a_wrong_setting_is_found_at_its_place(text: str, code: str, line: int) -> None:
    """An unknown name, a missing or misspelt number, a unit of another kind and a choice without a row are findings."""
    assert codes(text)[0] == (code, line)


@pytest.mark.parametrize("last", ALL)
def test_of_several_editions_the_card_picks_its_own(last: str) -> None:
    """Whatever order the limits files come in, a job holds the one that its card names."""
    card = card_path(REFERENCE).read_text("utf-8").replace(f"limits: {UK_NOW}", f"limits: {INTERNATIONAL}")
    texts = [(t.role, t.id, t.text) for t in set_texts(packaged_set()) if t.id != last]
    parts, found = compile_parts([("card", REFERENCE, card), *texts, ("limits", last, text_of(last))])

    assert [finding for finding in found if finding.level == "error"] == []
    assert parts.limits is not None
    assert parts.limits.id == INTERNATIONAL


LONE = '  lone-minutes: {value: "VALUE", why: Somebody has to be asked., source: invented}\n'


def test_the_minutes_of_the_lone_work_clock_may_be_left_out_and_are_whole() -> None:
    """`lone-minutes` stands in a file or not; what is no number of whole minutes is found at its place."""
    plain, _ = load_limits(f"{HEAD}{DEAD}rows:\n{ROW}", "small")
    given, found = load_limits(f"{HEAD}{LONE.replace('VALUE', '30')}{DEAD}rows:\n{ROW}", "small")

    assert plain is not None
    assert "lone-minutes" not in plain.settings
    assert given is not None
    assert found == ()
    assert given.settings["lone-minutes"] == "30"
    assert codes(f"{HEAD}{LONE.replace('VALUE', 'half an hour')}{DEAD}rows:\n{ROW}") == [("wrong-value", 8)]
