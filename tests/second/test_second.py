"""The second verifier and ferrule come to the same result, on every fixture and on a thousand damaged logs."""

from __future__ import annotations

import ast
import base64
import importlib.util
import json
import random
import subprocess
import sys
from collections.abc import Callable, Iterator
from pathlib import Path
from types import ModuleType

import pytest

from ferrule.engine.canon import dumps, sha256_hex
from ferrule.engine.journal.roster import parse_roster, render_roster, with_removal
from ferrule.engine.journal.sshsig import ROLE_NAMESPACES, fingerprint, signed_bytes
from tests.signing.test_changed import BODIES, edits
from tests.signing.test_verdict import ROWS
from tests.support.demolog import CLOSE_DATA, RESUMED_DATA, did_data, open_data, write_lines
from tests.support.outside import need_program
from tests.support.signing import (
    CHECK,
    ROOT,
    ROSTER,
    STRANGER,
    SUPER,
    TECH,
    body_of,
    closed_lines,
    named,
    relinked,
    roster_armour,
    sign_line,
    signed_lines,
    trust_in,
    verdict,
)

NOTE = Path(__file__).with_name("verify_by_note.py")
TRUST = trust_in(ROSTER)


@pytest.fixture(scope="module")
def second() -> ModuleType:
    """The second verifier as a module."""
    need_program("ssh-keygen")
    spec = importlib.util.spec_from_file_location("verify_by_note", NOTE)
    assert spec is not None
    assert spec.loader is not None
    module = importlib.util.module_from_spec(spec)
    spec.loader.exec_module(module)
    return module


def test_it_is_small_and_stands_alone() -> None:
    """At most 200 lines, the standard library alone, and not a word of ferrule's code. Shows: SG-17."""
    text = NOTE.read_text(encoding="utf-8")
    names = {
        alias.name.split(".")[0]
        for node in ast.walk(ast.parse(text))
        if isinstance(node, ast.Import)
        for alias in node.names
    } | {node.module for node in ast.walk(ast.parse(text)) if isinstance(node, ast.ImportFrom) and node.module}

    assert len(text.splitlines()) <= 200
    assert names <= sys.stdlib_module_names
    assert "import_module" not in text


def test_it_runs_on_its_own(tmp_path: Path) -> None:
    """From a shell, outside any package, it ends with the result; the roster counts only under its own root key."""
    need_program("ssh-keygen")
    (tmp_path / "log").write_bytes(b"".join(signed_lines(TECH)))
    (tmp_path / "roster").write_bytes(ROSTER)
    (tmp_path / "roster.sig").write_text(roster_armour(ROSTER))
    asked = [sys.executable, "-I", str(NOTE), "log", "roster"]
    codes = [
        subprocess.run([*asked, fingerprint(key.public)], cwd=tmp_path, capture_output=True).returncode
        for key in (ROOT, STRANGER)
    ]

    assert codes == [0, 3]
    assert subprocess.run(asked[:-1], cwd=tmp_path, capture_output=True).returncode == 3


# --- fixtures ---


@pytest.mark.parametrize("row", ROWS, ids=lambda row: row.case)
def test_it_agrees_on_every_wrong_signature(second: ModuleType, row: object) -> None:
    """Each row of the signature matrix comes to the same result by the note alone. Shows: SG-17."""
    trust = row.trust()  # type: ignore[attr-defined]
    roster = render_roster(trust.roster) if trust.roster else ""
    data = b"".join(row.make())  # type: ignore[attr-defined]

    assert second.judge(data, roster) == row.code  # type: ignore[attr-defined]


def fixtures() -> Iterator[bytes]:
    """Sound and unsound logs of each kind."""
    for plan in ("alone", "supervised", "reviewed later"):
        for people in ((), (TECH,), (TECH, SUPER), (SUPER,)):
            yield b"".join(signed_lines(*people, sign_off=plan))
    lines = signed_lines(TECH, sign_off="supervised")
    yield b"".join([*lines, sign_line(lines, SUPER, decision="rejected", remarks="No.")])
    yield b"".join(
        [*lines, sign_line(lines, SUPER, decision="accepted with remarks", remarks="Yes: but", roster=named())]
    )
    yield b"".join(closed_lines()[:-1])
    yield b""
    yield b"not a log\n"
    yield b"".join(closed_lines(rules="99"))
    yield b"".join(relinked([body_of(closed_lines()[0]) | {"data": {**open_data(), "format": 2}}]))
    yield b"".join(write_lines([("open", open_data(mode="practice")), ("did", did_data(1)), ("close", CLOSE_DATA)]))
    bodies = [body_of(line) for line in signed_lines(TECH)]
    yield b"".join(relinked([*bodies, {**bodies[-1], "kind": "resumed", "data": RESUMED_DATA}]))
    yield b"".join(relinked([*bodies[:-2], bodies[-1]]))
    act = {"command": {}, "person": "tech", "events": [{"event": "signed", "hold": "five", "telephone": "read back"}]}
    lines = write_lines([("open", open_data()), ("did", act), ("did", act), ("close", CLOSE_DATA)])
    yield b"".join([*lines, sign_line(lines, TECH)])


def test_it_agrees_on_sound_logs(second: ModuleType) -> None:
    """Each plan with each set of signatures, and each state of a log, comes to the same result. Shows: SG-17."""
    results = set()
    for data in fixtures():
        found = verdict(data, TRUST).code
        assert second.judge(data, ROSTER.decode()) == found
        results.add(found)

    assert results == {0, 1, 2, 3}


@pytest.mark.parametrize(
    "how",
    [
        {"retired": "2026-03-14T11:42:07Z"},
        {"retired": "2026-03-14T11:42:06Z"},
        {"compromised": "2026-03-14T11:42:07Z"},
        {"compromised": "2026-03-14T11:42:08Z"},
    ],
)
def test_it_agrees_on_removed_keys(second: ModuleType, how: dict[str, str]) -> None:
    """Keys retired and compromised, to the second, come to the same result. Shows: SG-10, SG-17."""
    text = render_roster(with_removal(parse_roster(ROSTER), TECH.public, **how))
    data = b"".join(signed_lines(TECH))

    assert second.judge(data, text) == verdict(data, trust_in(text.encode())).code


# --- mutations that leave every sum and every signature valid ---


def raw_line(body: bytes) -> bytes:
    """A line around any bytes, with their right sum."""
    return b'{"body":' + body + b',"sum":"' + sha256_hex(body).encode() + b'"}\n'


def around(change: Callable[[bytes], bytes]) -> bytes:
    """A log in which the second line's bytes are changed and everything after is linked and signed anew."""
    lines = closed_lines()
    bodies = [dumps(body_of(line)) for line in lines]
    bodies[1] = change(bodies[1])
    found = [raw_line(bodies[0])]
    for body in bodies[1:]:
        before = found[-1][-67:-3]
        found.append(raw_line(body.replace(body[body.index(b'"prev":"') + 8 :][:64], before)))
    return b"".join(found) + signed_over(found)


def signed_over(lines: list[bytes]) -> bytes:
    """A signature line over lines that ferrule may refuse to read, made from a sound twin of them."""
    twin = closed_lines()
    statement_end = lines[-1][-67:-3].decode()
    line = sign_line(twin, TECH, statement=lambda s: s.replace(twin[-1][-67:-3].decode(), statement_end))
    body = line[8:-75].replace(twin[-1][-67:-3], statement_end.encode())
    return raw_line(body)


def twice(body: bytes) -> bytes:
    return body.replace(b'"kind":"did"', b'"kind":"did","kind":"did"')


VALID = {
    "a key twice": lambda: around(twice),
    "a blank in the JSON": lambda: around(lambda b: b.replace(b'"kind":', b'"kind": ')),
    "keys in another order": lambda: around(
        lambda b: b.replace(b'{"boot":"boot-1:0",', b"{").replace(b'"kind":', b'"boot":"boot-1:0","kind":')
    ),
    "an escape that need not be": lambda: around(lambda b: b.replace(b"technician one", b"technici\\u0061n one")),
    "a number with a point": lambda: around(lambda b: b.replace(b'"mono_ms":1000', b'"mono_ms":1000.0')),
    "a member more": lambda: around(lambda b: b.replace(b'"person":', b'"more":1,"person":')),
    "a member less": lambda: around(lambda b: b.replace(b',"person":"technician one"', b"")),
    "an unknown kind": lambda: around(lambda b: b.replace(b'"kind":"did"', b'"kind":"done"')),
    "a number that skips": lambda: around(lambda b: b.replace(b'"seq":1', b'"seq":2')),
    "elapsed time that falls": lambda: around(lambda b: b.replace(b'"mono_ms":1000', b'"mono_ms":9000')),
    "a day that is not": lambda: around(lambda b: b.replace(b"2026-03-14", b"2026-02-30")),
    "an empty person": lambda: around(lambda b: b.replace(b"technician one", b"")),
    "a text that is not its hash": lambda: b"".join(
        signed_lines(TECH, texts=[{"role": "card", "id": "c", "sha256": "0" * 64, "text": "x"}])
    ),
    "another wrapping of the armour": lambda: b"".join([*closed_lines(), sign_line(closed_lines(), TECH, sshsig=flat)]),
    "a statement with a line more": lambda: b"".join(
        [*closed_lines(), sign_line(closed_lines(), TECH, statement=lambda s: f"{s}more: x\n")]
    ),
    "a line end inside the file": lambda: b"".join(signed_lines(TECH)) + b"\n",
    "the same signature once more": lambda: b"".join(relinked([*TWICE, TWICE[-1]])),
    "times of its own on the last line": lambda: b"".join(
        [*closed_lines(), sign_line(closed_lines(), TECH, envelope={"wall": "2026-03-14T11:42:07+00:00"})]
    ),
}
"""Changes after which every sum holds and every signature verifies over its own statement."""

TWICE = [body_of(line) for line in signed_lines(TECH)]


def flat(armour: str) -> str:
    """The same signature in one long line."""
    lines = armour.splitlines()
    return f"{lines[0]}\n{''.join(lines[1:-1])}\n{lines[-1]}\n"


def holds(line: bytes) -> bool:
    """True unless the line is a signature that does not belong to its own statement, however it is wrapped."""
    body = json.loads(line[8:-74])
    if body["kind"] != "signature":
        return True
    space, statement = ROLE_NAMESPACES[body["data"]["role"]], body["data"]["statement"].encode()
    blob = base64.b64decode("".join(body["data"]["sshsig"].splitlines()[1:-1]))
    assert CHECK is not None
    return CHECK(TECH.public, blob[-64:], signed_bytes(space, statement))


@pytest.mark.parametrize("case", VALID)
def test_it_agrees_where_sums_and_signatures_hold(second: ModuleType, case: str) -> None:
    """More than ten ways to break a rule of the format while every sum and signature holds: neither verifier calls
    the log signed, and both come to the same result. Shows: SG-17."""
    data = VALID[case]()
    found = verdict(data, TRUST).code
    lines = [line for line in data.split(b"\n") if line]

    assert len(VALID) >= 10
    assert all(sha256_hex(line[8:-74]).encode() == line[-66:-2] for line in lines)
    assert all(map(holds, lines))
    assert found != 0
    assert second.judge(data, ROSTER.decode()) == found


def test_the_unchanged_twin_of_those_logs_is_signed(second: ModuleType) -> None:
    """Left as it is, the log of the cases above is signed, so that each case is refused for its one change."""
    data = around(lambda body: body)

    assert verdict(data, TRUST).code == second.judge(data, ROSTER.decode()) == 0


# --- a thousand damaged logs ---


def mutated(chance: random.Random) -> bytes:
    """A signed log with something changed, as a disk, an editor or a forger would."""
    people, plan = chance.choice([((TECH,), "alone"), ((TECH, SUPER), "supervised"), ((TECH,), "reviewed later")])
    lines = signed_lines(*people, sign_off=plan)
    data = b"".join(lines)
    at = chance.randrange(len(data))
    how = chance.randrange(6)
    if how == 0:
        return data[:at] + bytes([data[at] ^ 1 << chance.randrange(8)]) + data[at + 1 :]
    if how == 1:
        return data[:at] + chance.choice([b"", data[at : at + 1] * 2, b"\n", b"\0"]) + data[at + 1 :]
    if how == 2:
        return data[:at] + bytes(chance.choice([0, 40]))
    bodies = [body_of(line) for line in lines]
    number = chance.randrange(len(bodies))
    if how == 3:
        del bodies[number]
    elif how == 4:
        bodies.insert(chance.randrange(len(bodies)), bodies[number])
    else:
        bodies[number] = {
            **bodies[number],
            **chance.choice(
                [
                    {"wall": "2026-03-14T11:42:09Z"},
                    {"mono_ms": 3_000},
                    {"boot": "boot-2:0"},
                    {"kind": "resumed"},
                    {"data": bodies[number - 1]["data"]},
                    {"data": {**bodies[number]["data"], "role": "supervisor"}},
                ]
            ),
        }
    return b"".join(relinked(bodies))


def agree(second: ModuleType, count: int, seed: int) -> dict[int, int]:
    """How often each result came, when both agreed on so many damaged logs."""
    chance = random.Random(seed)
    results: dict[int, int] = {}
    for number in range(count):
        data = mutated(chance)
        found = verdict(data, TRUST).code
        assert second.judge(data, ROSTER.decode()) == found, f"seed {seed}, log {number}"
        results[found] = results.get(found, 0) + 1
    return results


def test_it_agrees_on_damaged_logs(second: ModuleType) -> None:
    """Sixty damaged logs come to the same result by the note alone. Shows: SG-17."""
    assert agree(second, 60, 1)[1] > 20


@pytest.mark.slow
def test_it_agrees_on_a_thousand_damaged_logs(second: ModuleType) -> None:
    """A thousand damaged logs come to the same result by the note alone. Shows: SG-17."""
    results = agree(second, 1_000, 2)

    assert results[1] > 400
    assert results[2] > 50


@pytest.mark.slow
def test_it_agrees_on_every_forged_value(second: ModuleType) -> None:
    """Every value of a signed log changed, with all sums made right, comes to the same result by the note alone."""
    for number in range(len(BODIES)):
        for lines in edits(number):
            data = b"".join(lines)
            assert second.judge(data, ROSTER.decode()) == verdict(data, TRUST).code
