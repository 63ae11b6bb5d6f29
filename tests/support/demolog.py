"""A small job of the demo board, as data for entries and as the bytes of a log."""

from collections.abc import Mapping, Sequence
from typing import Any

from ferrule.engine.canon import sha256_hex
from ferrule.engine.journal.entry import NO_SUM, Entry, encode

JOB_ID = "20260314t093000z-abcdefghij"


def open_data(job_id: str = JOB_ID, **changes: Any) -> dict[str, Any]:
    """The data of a first entry; members can be replaced by name."""
    card = "board: KR1\nway: 4\n"
    data: dict[str, Any] = {
        "format": 1,
        "job_id": job_id,
        "mode": "work",
        "title": "Way 4, kiln room sockets",
        "site": "Saltmarsh Pottery, board KR1",
        "texts": [{"role": "card", "id": "kr1-way-4", "sha256": sha256_hex(card.encode()), "text": card}],
        "rules": "2",
        "engine": "0.1.0",
        "platform": "linux",
        "zone": "Europe/London",
        "decimal_sign": ".",
        "operator": "technician one",
        "sign_off": "alone",
        "roster": None,
        "diary": None,
        "nonce": "00112233445566778899aabbccddeeff",
        "supersedes": None,
    }
    return data | changes


def did_data(number: int) -> dict[str, Any]:
    """The data of a step that was confirmed."""
    return {
        "command": {"do": "enter reading", "entered": f"0.{number:02d}"},
        "person": "technician one",
        "events": [{"event": "reading entered", "value": f"0.{number:02d}", "unit": "ohm"}],
    }


CLOSE_DATA: dict[str, Any] = {"outcome": "complete", "counts": {"readings": 3}, "reason": ""}
SIGNATURE_DATA: dict[str, Any] = {"role": "technician", "statement": "ferrule statement 1\n", "sshsig": "armour"}
RESUMED_DATA: dict[str, Any] = {"reason": "opened again", "torn_bytes": 0, "torn_sha256": None}


def write_lines(parts: Sequence[tuple[str, Mapping[str, Any]]]) -> list[bytes]:
    """The lines of a sound chain with these kinds and data, one second apart for the first half hour."""
    lines: list[bytes] = []
    prev = NO_SUM
    for seq, (kind, data) in enumerate(parts):
        wall = f"2026-03-14T09:{30 + seq // 60 % 30}:{seq % 60:02d}.000+00:00"
        line, entry = encode(kind, seq, prev, wall, seq * 1000, "boot-1:0", data)
        lines.append(line)
        prev = entry.sum
    return lines


def demo_lines() -> list[bytes]:
    """A closed log of five entries."""
    return write_lines(
        [
            ("open", open_data()),
            ("did", did_data(31)),
            ("checkpoint", {"stage": "dead tests"}),
            ("did", did_data(32)),
            ("close", CLOSE_DATA),
        ]
    )


def relink(line: bytes, **changes: Any) -> tuple[bytes, Entry]:
    """The line with members of its body replaced and its sum made right again, as a forger would."""
    from ferrule.engine.journal.entry import decode

    entry = decode(line)
    members = {name: getattr(entry, name) for name in ("kind", "seq", "prev", "wall", "mono_ms", "boot", "data")}
    return encode(**(members | changes))
