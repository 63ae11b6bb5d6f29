"""Every change of a signed log that a person or a disk can make, one at a time: none is read as signed."""

from __future__ import annotations

from collections.abc import Iterator
from typing import Any

import pytest

from ferrule.engine.canon import dumps, sha256_hex
from ferrule.engine.journal.verdict import CHANGED, SIGNED
from ferrule.tui.verify_words import signature_told
from tests.support.signing import ROSTER, SUPER, TECH, body_of, relinked, signed_lines, trust_in, verdict

LINES = signed_lines(TECH, SUPER, sign_off="supervised")
LOG = b"".join(LINES)
TRUST = trust_in(ROSTER)


def code_of(data: bytes) -> int:
    """The result for these bytes."""
    return verdict(data, TRUST).code


def test_the_log_is_signed_to_begin_with() -> None:
    """Unchanged, the log of these tests is signed."""
    assert code_of(LOG) == SIGNED


def test_every_truncation_is_seen() -> None:
    """Cut at every byte, the log is never signed. Shows: RI-05."""
    for size in range(len(LOG)):
        assert code_of(LOG[:size]) != SIGNED


ALONE = b"".join(signed_lines(TECH))


def test_every_byte_changed_or_deleted_is_seen() -> None:
    """Each byte of a log with one signature is changed in one bit, and left out. Shows: RI-14."""
    assert code_of(ALONE) == SIGNED
    for at in range(len(ALONE)):
        for middle in (bytes([ALONE[at] ^ 1 << at % 8]), b""):
            assert code_of(ALONE[:at] + middle + ALONE[at + 1 :]) != SIGNED
    for last in (b" ", b"\n", b"\0", b"x"):
        assert code_of(ALONE + last) != SIGNED


@pytest.mark.slow
def test_every_byte_doubled_or_preceded_is_seen() -> None:
    """Each byte of a log with two signatures is deleted, doubled, and has a blank, a line end and a zero put before it.
    Shows: RI-14."""
    for at in range(len(LOG)):
        for middle in (b"", LOG[at : at + 1] * 2, *(before + LOG[at : at + 1] for before in (b" ", b"\n", b"\0"))):
            assert code_of(LOG[:at] + middle + LOG[at + 1 :]) != SIGNED


@pytest.mark.slow
def test_every_bit_is_guarded() -> None:
    """Each bit of the log is flipped: never signed. Shows: RI-14."""
    for at in range(len(LOG)):
        for bit in range(8):
            assert code_of(LOG[:at] + bytes([LOG[at] ^ 1 << bit]) + LOG[at + 1 :]) != SIGNED


# --- an attacker who makes all sums right again ---


def values_changed(value: Any) -> Iterator[Any]:
    """The value with each leaf changed, one at a time, and a member added to each object."""
    if isinstance(value, dict):
        for key, member in value.items():
            for other in values_changed(member):
                yield {**value, key: other}
            yield {k: v for k, v in value.items() if k != key}
        yield {**value, "zz": 1}
    elif isinstance(value, list):
        for at, member in enumerate(value):
            for other in values_changed(member):
                yield [*value[:at], other, *value[at + 1 :]]
        yield [*value, "more"]
    elif isinstance(value, str):
        yield f"{value}x"
        yield value[:-1]
        yield f"{value[:-1]}{chr(ord(value[-1]) ^ 1)}" if value else "x"
    elif isinstance(value, bool) or value is None:
        yield 0
    else:
        yield value + 1


BODIES = [body_of(line) for line in LINES]
OWN = {"seq", "prev"}
"""What the attacker has to make right again anyway."""


def edits(number: int) -> Iterator[list[bytes]]:
    """The log with one thing changed in one entry, and every sum and link made right."""
    body = BODIES[number]
    for key in body:
        if key not in OWN:
            for other in values_changed(body[key]):
                yield relinked([*BODIES[:number], {**body, key: other}, *BODIES[number + 1 :]])
    yield relinked([*BODIES[:number], {**body, "zz": 1}, *BODIES[number + 1 :]])


@pytest.mark.parametrize("number", range(len(LINES)))
def test_edits_with_all_sums_made_right_are_seen(number: int) -> None:
    """Every value of every entry, the last signature line included, is changed and everything linked again: the
    signatures show it. Shows: AR-02, SG-03, RI-14."""
    tried = 0
    for lines in edits(number):
        if b"".join(lines) != LOG:
            assert code_of(b"".join(lines)) != SIGNED
            tried += 1

    assert tried >= 15


@pytest.mark.parametrize("number", range(len(LINES)))
def test_dropped_doubled_and_swapped_entries_are_seen(number: int) -> None:
    """With all sums made right, an entry left out, put in twice or changed for the next one is still seen."""
    drop = [*BODIES[:number], *BODIES[number + 1 :]]
    double = [*BODIES[: number + 1], *BODIES[number:]]
    swap = [*BODIES[:number], *reversed(BODIES[number : number + 2]), *BODIES[number + 2 :]]
    last = number == len(LINES) - 1

    for bodies in (drop, double, *([] if last else [swap])):
        assert code_of(b"".join(relinked(bodies))) != SIGNED


def test_sums_of_an_attacker_pass_the_chain() -> None:
    """What the attacker makes is a sound chain, so it is the signatures that show the change and not the sums."""
    lines = relinked([BODIES[0] | {"wall": "2026-03-14T09:30:01.000+00:00"}, *BODIES[1:]])
    found = verdict(lines, TRUST)

    assert found.read is not None
    assert (found.code, found.entry) == (CHANGED, 0)
    assert [one.code for one in found.signatures] == ["statement", "statement"]
    raw = dumps(body_of(lines[0]))
    assert sha256_hex(raw).encode() in lines[0]


@pytest.mark.parametrize(
    ("member", "old", "new"),
    [
        ("statement", "name: Ash Glaze", "name: Clay Nobody"),
        ("statement", "records: 4", "records: 5"),
        ("sshsig", "", ""),
    ],
    ids=["name", "count", "signature"],
)
def test_what_was_not_verified_is_not_read(member: str, old: str, new: str) -> None:
    """A statement that its signature does not belong to is judged and never told, in words or to a program.

    Shows: SG-04.
    """
    lines = signed_lines(TECH)
    bodies = [body_of(line) for line in lines]
    text = bodies[-1]["data"][member]
    # The signature's own bytes end some signs before the last line of its armour.
    bodies[-1]["data"][member] = text.replace(old, new) if old else f"{text[:-60]}AAAAAAAA{text[-52:]}"
    (sound,) = verdict(lines, TRUST).signatures
    (changed,) = verdict(relinked(bodies), TRUST).signatures

    assert (sound.result, changed.result) == ("good", "bad")
    assert sound.claims is not None
    assert changed.claims is None
    assert "Ash Glaze" in " ".join(signature_told(sound))
    assert not any(name in " ".join(signature_told(changed)) for name in ("Ash Glaze", "Clay Nobody"))
