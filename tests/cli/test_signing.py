"""Signing and verifying from the command line: whole statement first, reasons in words, four results."""

from __future__ import annotations

import hashlib
import json
import shutil
import sys
from pathlib import Path

import pytest

from ferrule.engine.canon import sha256_hex
from ferrule.engine.journal.openpoints import open_points
from ferrule.engine.journal.replay import Replay
from ferrule.engine.journal.sshsig import ROLE_NAMESPACES, fingerprint, make, public_text
from ferrule.engine.procedure.compiled import Job
from ferrule.engine.shell.acceptance import write_acceptance
from ferrule.engine.shell.calls import SYSTEM_CALLS
from ferrule.engine.shell.folders import find_folders
from ferrule.engine.shell.keys import write_key
from ferrule.engine.shell.logfile import read_only
from ferrule.engine.shell.sets import embedded_job, find_job
from ferrule.engine.walk import commands as c
from ferrule.engine.walk import events as e
from ferrule.engine.walk.situation import situation, whole_list
from tests.golden.make_signed import HERE as GOLDEN
from tests.support.demolog import CLOSE_DATA, open_data, write_lines
from tests.support.fakeclock import FakeClock
from tests.support.jobs import card_path, job_of
from tests.support.plainrun import CARD, DAY, Ran, only_log, run
from tests.support.script import Choices, TypedInput, circuit_instrument, healthy_script
from tests.support.signing import (
    BEFORE,
    PASSPHRASE,
    ROOT,
    STRANGER,
    SUPER,
    TECH,
    Person,
    body_of,
    closed_lines,
    relinked,
    roster_armour,
    roster_of,
    sign_line,
    signed_lines,
)
from tests.support.walker import Walker

DAY_OF_SIGNING = "2026-11-25T12:00:00.000+00:00"


@pytest.fixture(scope="module")
def closed(tmp_path_factory: pytest.TempPathFactory) -> dict[str, bytes]:
    """Whole unsigned logs for work, as bytes by the card's name: cut from the golden ones before the signatures."""
    release = max(GOLDEN.glob("signed-*"))
    found = {}
    for name in ("alone", "supervised"):
        lines = (release / f"{name}.jsonl").read_bytes().splitlines(keepends=True)
        found[name] = b"".join(line for line in lines if b'"kind":"signature"' not in line[-400:])
    assert tmp_path_factory
    return found


def placed(home: Path, data: bytes) -> Path:
    """A log in the folder of a home, under its own name."""
    job_id = json.loads(data.split(b"\n", 1)[0])["body"]["data"]["job_id"]
    path = home / "records" / f"{job_id}.jsonl"
    path.parent.mkdir(parents=True, exist_ok=True)
    path.write_bytes(data)
    return path


def with_key(home: Path, person: Person, name: str = "") -> str:
    """The name of this person's key in a home."""
    called = name or person.name.split()[0].lower()
    key = write_key(home / "keys", called, person.private, PASSPHRASE, SYSTEM_CALLS, rounds=1)
    write_acceptance(key, person.name, "2026-01-02T00:00:00Z", person.private.sign, SYSTEM_CALLS)
    return called


def with_roster(home: Path, data: bytes | None = None) -> Path:
    """A roster on disk that this home took over."""
    roster = roster_of(TECH.member(), SUPER.member()) if data is None else data
    path = home / "given" / "allowed_signers"
    path.parent.mkdir(exist_ok=True)
    path.write_bytes(roster)
    path.with_name("allowed_signers.sig").write_text(roster_armour(roster))
    ran = run("roster", "take", str(path), "--root", fingerprint(ROOT.public), "--home", str(home))
    assert ran.code == 0, ran.err
    return path


def sign(home: Path, log: Path, *more: str, typed: str = f"{PASSPHRASE}\n") -> Ran:
    """Sign as somebody at this home."""
    return run("sign", str(log), *more, "--home", str(home), typed=typed, clock=FakeClock(DAY_OF_SIGNING))


def verify(home: Path, *more: str) -> Ran:
    """Verify at this home."""
    return run("verify", *more, "--home", str(home), clock=FakeClock(DAY_OF_SIGNING))


# --- a person signs ---


def test_statement_is_shown_whole_before_the_passphrase(home: Path, closed: dict[str, bytes]) -> None:
    """Everything that is signed stands on screen, with its hash, before the passphrase is asked; what was shown is what
    verifies. Shows: SG-01, SG-02, SG-05."""
    log = placed(home, closed["alone"])
    with_roster(home)
    with_key(home, TECH)
    ran = sign(home, log)
    entry = read_only(log).entries[-1]
    told = json.loads(verify(home, str(log), "--json").out)[0]["signatures"][0]

    assert ran.code == 0, ran.err
    assert ran.out.startswith(entry.data["statement"])
    assert ran.err.index("SHA-256 of these lines") < ran.err.index("Passphrase")
    assert sha256_hex(entry.data["statement"].encode()) in ran.err
    assert told["statement_sha256"] == sha256_hex(entry.data["statement"].encode())
    assert (told["name"], told["meaning"][:15], told["signed_at"]) == (
        "Ash Glaze",
        "I carried out t",
        "2026-11-25T12:00:00Z",
    )
    assert PASSPHRASE not in ran.out + ran.err + log.read_text(encoding="utf-8")
    assert verify(home, str(log)).code == 0


@pytest.mark.parametrize(
    ("typed", "says"), [("\n", "Nothing was signed"), ("", "Nothing was signed"), ("no\n", "does not open")]
)
def test_without_the_passphrase_nothing_is_signed(home: Path, closed: dict[str, bytes], typed: str, says: str) -> None:
    """Left empty or typed wrongly, the log stays as it was; the passphrase is asked each time. Shows: SG-06."""
    log = placed(home, closed["alone"])
    with_roster(home)
    with_key(home, TECH)
    ran = sign(home, log, typed=typed)

    assert (ran.code, says in ran.err) == (1, True)
    assert log.read_bytes() == closed["alone"]


def test_two_people_sign_on_two_machines(home: Path, tmp_path: Path, closed: dict[str, bytes]) -> None:
    """The technician signs, the file goes to another machine on a medium, and the supervisor signs the copy there with
    a key that never was on the first. Shows: SG-08."""
    log = placed(home, closed["supervised"])
    roster = with_roster(home)
    with_key(home, TECH)
    assert sign(home, log).code == 0
    first = verify(home, str(log))
    medium, office = tmp_path / "medium", tmp_path / "office"
    medium.mkdir()
    copy = Path(shutil.copy(log, medium))
    with_key(medium, SUPER)
    ran = sign(
        office, copy, "--role", "supervisor", "--key", str(medium / "keys" / "bay"), "--roster", str(roster), "--root",
        fingerprint(ROOT.public), "--decision", "accepted with remarks", "--remarks", "Seen with the client.",
    )  # fmt: skip
    both = verify(home, str(copy))

    assert ran.code == 0, ran.err
    assert (first.code, both.code) == (2, 0)
    assert "supervisor's signature, which the sign-off plan asks for, is missing" in first.out
    assert "remarks: Seen with the client." in both.out
    assert copy.read_bytes().startswith(log.read_bytes())


def test_without_a_roster_the_signer_says_the_names(home: Path, closed: dict[str, bytes]) -> None:
    """A log can be signed before there is a roster; it cannot be judged until one holds the key."""
    log = placed(home, closed["alone"])
    with_key(home, TECH)
    bare = sign(home, log)
    ran = sign(home, log, "--signer", TECH.principal, "--name", TECH.name)

    assert (bare.code, ran.code) == (64, 0)
    assert "--signer and --name" in bare.err
    assert "roster: none\n" in ran.out
    assert verify(home, str(log)).code == 3
    with_roster(home)
    assert verify(home, str(log)).code == 0


# --- what a signature binds, and who else tried ---


def accept(home: Path, key: str, *more: str, typed: str = f"{PASSPHRASE}\n") -> Ran:
    """Accept as somebody at this home."""
    return run("keys", "accept", key, *more, "--home", str(home), typed=typed, clock=FakeClock(DAY_OF_SIGNING))


def bare_key(home: Path, person: Person, name: str) -> Path:
    """A key whose holder has accepted nothing yet."""
    return write_key(home / "keys", name, person.private, PASSPHRASE, SYSTEM_CALLS, rounds=1).path


def test_nothing_is_signed_before_its_holder_accepted_once(home: Path, closed: dict[str, bytes]) -> None:
    """A key signs nothing until its holder has accepted in writing that it binds; after that once is enough.

    Shows: SG-16
    """
    log = placed(home, closed["alone"])
    with_roster(home)
    path = bare_key(home, TECH, "ash")
    refused, shown = sign(home, log), run("keys", "show", "--home", str(home))
    left = accept(home, "ash", "--name", TECH.name, typed="\n")
    wrong = accept(home, "ash", "--name", TECH.name, typed="not this one\n")
    after = sorted(p.name for p in path.parent.iterdir())
    taken = accept(home, "ash", "--name", TECH.name)
    ran = sign(home, log)

    assert (refused.code, left.code, wrong.code, taken.code, ran.code) == (1, 1, 1, 0, 0)
    assert "has not accepted in writing" in refused.err
    assert "signs nothing until" in shown.err
    assert "ash.accepted" not in after
    assert f"I, {TECH.name}, accept that what I sign" in taken.out
    assert (path.parent / "ash.accepted").read_text().startswith(taken.out)
    assert "accepted" not in run("keys", "show", "--home", str(home)).err


@pytest.mark.parametrize("how", ["another name", "another key", "changed words", "cut", "a record's signature"])
def test_an_acceptance_is_this_persons_with_this_key_in_these_words(
    home: Path, closed: dict[str, bytes], how: str
) -> None:
    """What is not just that acceptance is none. Shows: SG-16."""
    log = placed(home, closed["alone"])
    with_roster(home)
    path = bare_key(home, TECH, "ash")
    other = STRANGER if how == "another key" else TECH
    assert accept(home, str(bare_key(home / "b", other, "ash")), "--name", TECH.name).code == 0
    words = (home / "b" / "keys" / "ash.accepted").read_text()
    if how == "another name":
        accept(home, "ash", "--name", SUPER.name)
        words = (path.parent / "ash.accepted").read_text()
    elif how == "changed words":
        words = words.replace("2026-11-25T12", "2026-11-24T12")
    elif how == "cut":
        words = words[:-40]
    elif how == "a record's signature":
        text = words.partition("-----BEGIN")[0]
        made = make(ROLE_NAMESPACES["technician"], text.encode(), TECH.public, TECH.private.sign)
        words = text + made
    (path.parent / "ash.accepted").write_text(words)
    ran = sign(home, log)

    assert ran.code == 1
    assert "ash.accepted" in ran.err
    assert log.read_bytes() == closed["alone"]


def test_wrong_passphrases_are_kept_and_told(home: Path, closed: dict[str, bytes]) -> None:
    """Three wrong passphrases are on record, and the holder is told at the next signature, once. Shows: SG-15."""
    log = placed(home, closed["supervised"])
    with_roster(home)
    with_key(home, TECH)
    for _ in range(3):
        assert sign(home, log, typed="not this one\n").code == 1
    shown = run("keys", "show", "--home", str(home))
    ran = sign(home, log)
    later = run("keys", "show", "--home", str(home))
    (kept,) = (home / "keys").glob("*.tries")

    assert "3 times since it was last opened" in shown.err
    assert ran.code == 0
    assert "3 times since it was last opened" in ran.err
    assert "last 2026-11-25T12:00:00Z" in ran.err
    assert "wrong" not in later.err
    assert kept.read_text().split("\n")[:-1] == [
        *["2026-11-25T12:00:00Z wrong passphrase"] * 3, "2026-11-25T12:00:00Z opened",
    ]  # fmt: skip
    assert "not this one" not in kept.read_text()


# --- the reasons against it ---


def test_open_log_is_refused_with_the_walks_own_list(home: Path, job: Job) -> None:
    """A job that stands half way is refused, and the list is what the walk itself has as not done. Shows: SG-07."""
    ran = run(
        "walk", CARD, "--plain", "--home", str(home),
        typed=TypedInput(healthy_script(job, Choices(circuit_instrument(job), most=60)), clock := FakeClock(DAY)),
        clock=clock,
    )  # fmt: skip
    assert ran.code == 0, ran.err
    log = only_log(home, "records")
    before = log.read_bytes()
    refused = sign(home, log)
    replay = replay_of(log)
    left = [title for title, how, _ in whole_list(job, replay.last.state) if how not in ("done", "not applicable")]

    assert refused.code == 1
    assert "The job is not closed." in refused.err
    assert len(left) > 10
    assert all(f"- {title}: " in refused.err for title in left)
    assert refused.err.count("\n- ") == len(left) + 1
    assert log.read_bytes() == before


def replay_of(log: Path) -> Replay:
    """The replay of a log on disk."""
    read = read_only(log)
    return Replay(embedded_job(read.entries[0].data["texts"], find_folders(log.parents[1])).job, read.entries)


def links_fitted(walker: Walker) -> bool:
    """True while a link is fitted."""
    return any(fact.startswith("link:") and value == "fitted" for fact, value in walker.state.facts.items())


@pytest.mark.parametrize("what", ["linked", "stale", "undecided"])
def test_a_log_that_says_closed_while_something_is_open_is_refused(home: Path, what: str) -> None:
    """A log whose last line says complete while a link is fitted, a result is stale or a doubt undecided is refused,
    with what the engine itself has outstanding. Shows: SG-07, WB-09."""
    walker = Walker.begin(job_of())
    for _ in range(200):
        if walker.state.pending is not None or (what != "undecided" and links_fitted(walker)):
            break
        doubtful = what == "undecided" and walker.state.round_start_ms is not None
        answer = walker.answer("conditional-pass", lambda slot: bool(slot.cell.judge)) if doubtful else walker.healthy()
        walker.give(answer)  # type: ignore[arg-type]
    if what == "stale":
        done = max(n for n, d in walker.state.done.items() if d.slots)
        walker.give(c.Correct(walker.state.operator, walker.stamp(), done, "typed wrongly"))
    log = placed(home, forged_close(walker, home))
    replay = replay_of(log)
    listed = open_points(read_only(log), replay)
    outstanding = situation(walker.job, walker.state, walker.state.last_ms).outstanding
    refused = sign(home, log)

    assert refused.code == 1
    assert all(point in refused.err for point in listed)
    assert all(any(fact.replace(":", " ") in point for point in listed) for fact in outstanding)
    assert any("closed as “complete”" in point for point in listed)
    if what == "linked":
        assert any(point.startswith("link ") for point in listed)
    if what == "stale":
        assert any(point.endswith("is void.") for point in listed)
    if what == "undecided":
        assert any("waits for a decision" in point for point in listed)


def forged_close(walker: Walker, home: Path) -> bytes:
    """The log of a walk so far, with a close behind it that the walk did not come to."""
    texts = find_job(CARD, find_folders(home)).texts
    opened = open_data(
        texts=[{"role": t.role, "id": t.id, "sha256": t.sha256, "text": t.text} for t in texts],
        operator=walker.state.operator,
    )
    parts = [("open", opened)]
    for command, events in walker.trail:
        data = {"command": c.command_to_json(command), "person": command.person,
                "events": [e.event_to_json(event) for event in events]}  # fmt: skip
        parts.append(("did", data))
    return b"".join(write_lines([*parts, ("close", CLOSE_DATA)]))


def test_practice_can_never_be_signed(home: Path, job: Job) -> None:
    """A practice log is refused for what it is, wherever it lies and whatever it is called. Shows: TR-15."""
    clock = FakeClock(DAY)
    script = healthy_script(job, Choices(circuit_instrument(job)))
    run("walk", CARD, "--plain", "--practice", "--home", str(home), typed=TypedInput(script, clock), clock=clock)
    log = placed(home, only_log(home).read_bytes())
    with_key(home, TECH)
    refused = sign(home, log, "--signer", TECH.principal, "--name", TECH.name)
    told = verify(home, str(log))

    assert refused.code == 1
    assert "practice can never be signed" in refused.err
    assert (told.code, "practice log: no record of work" in told.out) == (2, True)


REFUSALS: dict[str, tuple[str, tuple[Person, ...], Person, tuple[str, ...], int, str]] = {
    "not the technician of the card": ("alone", (), STRANGER, (), 1, "not a technician of this job"),
    "a role that the roster does not give": ("supervised", (TECH,), TECH, ("--role", "supervisor"), 1, "You signed"),
    "the supervisor first": ("supervised", (), SUPER, ("--role", "supervisor"), 1, "The technician signs first"),
    "as technician twice": ("alone", (TECH,), TECH, (), 1, "signed this record as technician already"),
    "a supervisor as technician": ("alone", (), SUPER, (), 1, "not a technician of this job"),
    "remarks that nothing asks for": ("alone", (), TECH, ("--remarks", "x"), 1, "Remarks belong to"),
    "rejecting without a reason": (
        "supervised", (TECH,), SUPER, ("--role", "supervisor", "--decision", "rejected"), 1, "Remarks belong to",
    ),
    "another role's decision": ("alone", (), TECH, ("--decision", "rejected", "--remarks", "x"), 1, "does not decide"),
    "hidden characters": ("alone", (), TECH, ("--remarks", "x\u202ey"), 64, "U+202E"),
    "another name than the roster has": ("alone", (), TECH, ("--name", "Ash"), 64, "printed name"),
}  # fmt: skip


@pytest.mark.parametrize("case", REFUSALS)
def test_signature_that_could_not_stand_is_refused_before_it_is_given(
    home: Path, closed: dict[str, bytes], case: str
) -> None:
    """What would come to nothing is refused with its own reason, and the log stays as it was. Shows: SG-08."""
    plan, earlier, person, more, code, says = REFUSALS[case]
    log = placed(home, closed[plan])
    roster = roster_of(TECH.member(), SUPER.member(roles=("supervisor", "technician")), STRANGER.member())
    with_roster(home, roster)
    for one in earlier:
        with_key(home, one, "before")
        assert sign(home, log, "--key", "before", "--role", one.role).code == 0
    before = log.read_bytes()
    with_key(home, person, "now")
    ran = sign(home, log, "--key", "now", *more)

    assert (ran.code, says in ran.err) == (code, True), ran.err
    assert log.read_bytes() == before


@pytest.mark.parametrize(
    "how", [{"after": "2026-12-01T00:00:00Z"}, {"before": "2026-11-25T12:00:00Z"}, {"roles": ("supervisor",)}]
)
def test_key_that_may_not_sign_today_is_refused(home: Path, closed: dict[str, bytes], how: dict[str, object]) -> None:
    """A key that is not valid yet, no longer, or in another role signs nothing."""
    log = placed(home, closed["alone"])
    with_roster(home, roster_of(TECH.member(**how)))
    with_key(home, TECH)
    ran = sign(home, log)

    assert ran.code == 1
    assert "The roster lets this key sign" in ran.err
    assert log.read_bytes() == closed["alone"]


def test_a_rejected_job_is_done_again_under_a_new_id(home: Path, closed: dict[str, bytes]) -> None:
    """After a rejection nothing is signed any more; the new job names the old one, which still verifies and says by
    which it was superseded. Shows: SG-14."""
    log = placed(home, closed["supervised"])
    with_roster(home)
    for person in (TECH, SUPER):
        with_key(home, person)
    assert sign(home, log, "--key", "ash").code == 0
    no = ("--role", "supervisor", "--key", "bay", "--decision", "rejected", "--remarks", "Ring step two is missing.")
    assert sign(home, log, *no).code == 0
    again = sign(home, log, "--key", "bay", "--role", "supervisor")
    old_id = log.name.removesuffix(".jsonl")
    new = run("walk", str(card_path("supervised")), "--plain", "--home", str(home), "--person", "tech", "--replaces",
              old_id, typed="leave\n")  # fmt: skip
    other = next(path for path in (home / "records").glob("2*.jsonl") if path != log)
    told = verify(home, str(log), str(other))

    assert (again.code, "Do the job again under a new id" in again.err) == (1, True)
    assert new.code == 0, new.err
    assert told.code == 2
    assert f"Remark: Superseded by job {other.name.removesuffix('.jsonl')}." in told.out
    assert "rejected by Bay Kiln: Ring step two is missing." in told.out


def test_nothing_is_signed_on_top_of_a_broken_signature(home: Path, closed: dict[str, bytes]) -> None:
    """A log with a signature that does not belong to it is left alone."""
    lines = closed["supervised"].splitlines(keepends=True)
    lines.append(sign_line(lines, TECH, statement=lambda s: s.replace("complete", "stopped")))
    log = placed(home, b"".join(lines))
    with_roster(home)
    with_key(home, SUPER)
    ran = sign(home, log, "--role", "supervisor")

    assert (ran.code, "Nothing is signed on top of it" in ran.err) == (1, True)


def test_without_the_packages_signing_names_the_extra(
    home: Path, closed: dict[str, bytes], monkeypatch: pytest.MonkeyPatch
) -> None:
    """Where the packages are missing, signing says what to install, and verifying a signed log cannot tell."""
    log = placed(home, closed["alone"])
    signed = placed(home / "b", b"".join(signed_lines(TECH)))
    monkeypatch.setitem(sys.modules, "cryptography", None)
    monkeypatch.setitem(sys.modules, "cryptography.exceptions", None)
    ran, told = sign(home, log), verify(home, str(signed))

    assert (ran.code, 'pip install "ferrule[sign]"' in ran.err) == (1, True)
    assert (told.code, 'pip install "ferrule[sign]"' in told.out) == (3, True)
    assert verify(home, str(log)).code == 2


# --- verifying ---


def test_of_several_files_the_worst_result_counts(home: Path, tmp_path: Path) -> None:
    """Changed before cannot tell before incomplete before signed; a file that cannot be read ends with 66."""
    with_roster(home)
    logs = {
        0: signed_lines(TECH),
        1: signed_lines(TECH)[1:],
        2: closed_lines(),
        3: [*closed_lines(), sign_line(closed_lines(), STRANGER)],
    }
    paths = {}
    for code, lines in logs.items():
        paths[code] = tmp_path / f"{code}.jsonl"
        paths[code].write_bytes(b"".join(lines))

    assert {code: verify(home, str(path)).code for code, path in paths.items()} == {0: 0, 1: 1, 2: 2, 3: 3}
    assert verify(home, *map(str, paths.values())).code == 1
    assert verify(home, *(str(paths[n]) for n in (0, 2, 3))).code == 3
    assert verify(home, *(str(paths[n]) for n in (2, 0))).code == 2
    missing = verify(home, str(paths[0]), str(tmp_path / "none.jsonl"))
    assert (missing.code, "none.jsonl" in missing.err, "0.jsonl: SIGNED" in missing.out) == (66, True, True)


def test_verifying_changes_nothing(home: Path, tmp_path: Path) -> None:
    """Files and folders are the same after verifying, on a folder that can only be read too. Shows: AR-07."""
    with_roster(home)
    folder = tmp_path / "read only"
    folder.mkdir()
    log = folder / "log.jsonl"
    log.write_bytes(b"".join(signed_lines(TECH)))
    log.chmod(0o400)
    folder.chmod(0o500)
    before = {path: (path.stat().st_mtime_ns, path.is_file() and hashlib.sha256(path.read_bytes()).hexdigest())
              for path in tmp_path.rglob("*")}  # fmt: skip
    told = verify(home, str(log))
    after = {path: (path.stat().st_mtime_ns, path.is_file() and hashlib.sha256(path.read_bytes()).hexdigest())
             for path in tmp_path.rglob("*")}  # fmt: skip
    folder.chmod(0o700)

    assert told.code == 0
    assert after == before


def test_what_was_not_checked_is_said(home: Path, tmp_path: Path, closed: dict[str, bytes]) -> None:
    """The result names what it does not rest on: time, readings, a longer state, the replay if not asked for. Shows:
    SG-12, AR-09."""
    with_roster(home)
    log = tmp_path / "log.jsonl"
    log.write_bytes(b"".join(signed_lines(TECH)))
    plain = verify(home, str(log)).out
    unsigned = verify(home, str(placed(home, closed["alone"])), "--replay").out

    assert plain.count("Not checked: ") == 5
    for words in ("signer's claim", "--replay", "--diary", "--heads", "really taken"):
        assert words in plain
    assert "signer's claim" not in unsigned
    assert "replays the same" in unsigned


def test_replay_is_a_question_of_its_own(home: Path, closed: dict[str, bytes]) -> None:
    """A log that is decided otherwise is never called changed: the replay says where, and the result is that nobody can
    tell. Shows: AR-02."""
    lines = closed["alone"].splitlines(keepends=True)
    bodies = [body_of(line) for line in lines]
    number, body = next((n, b) for n, b in enumerate(bodies) if b["kind"] == "did" and len(b["data"]["events"]) > 1)
    bodies[number] = {**body, "data": {**body["data"], "events": body["data"]["events"][:-1]}}
    forged = relinked(bodies)
    forged.append(sign_line(forged, TECH))
    log = placed(home, b"".join(forged))
    with_roster(home)
    bare, asked = verify(home, str(log)), verify(home, str(log), "--replay")

    assert bare.code == 0
    assert asked.code == 3
    assert f"differs at entry {number + 1}" in asked.out
    assert "NOT GOOD" not in asked.out


def test_hidden_characters_are_made_visible(home: Path, tmp_path: Path) -> None:
    """Whatever a log from elsewhere holds, no control or hidden character of it reaches the terminal."""
    title = "Way 4\u202e\u001b[2J\u200b"
    log = tmp_path / "log.jsonl"
    log.write_bytes(b"".join(signed_lines(TECH, title=title)))
    told = verify(home, str(log))
    as_json = verify(home, str(log), "--json")

    assert "Way 4<U+202E><U+001B>[2J<U+200B>" in told.out
    assert told.out.replace("\n", "").isprintable()
    assert as_json.out.isascii()
    assert json.loads(as_json.out)[0]["result"] == told.code


def test_replay_shows_who_signed(home: Path, closed: dict[str, bytes]) -> None:
    """Walked again as text, a signed log shows printed name, time and meaning of each signature, as not verified here.
    Shows: SG-01."""
    lines = closed["supervised"].splitlines(keepends=True)
    for person in (TECH, SUPER):
        lines.append(sign_line(lines, person))
    ran = run("replay", str(placed(home, b"".join(lines))), "--plain", "--home", str(home))

    assert ran.code == 0
    for words in ("Ash Glaze", "Bay Kiln", "2026-03-14T11:42:07Z", "I carried out", "I reviewed", "Not verified here"):
        assert words in ran.out


# --- roster and keys ---


def test_an_office_keeps_a_roster(home: Path, tmp_path: Path) -> None:
    """Begun, filled, signed, taken over elsewhere, changed and signed again: each machine refuses the older one. Shows:
    SG-11."""
    office, laptop = home, tmp_path / "laptop"
    with_key(office, ROOT, "root")
    public = tmp_path / "ash.pub"
    public.write_text(f"{public_text(TECH.public)} ash\n")
    at = ("--home", str(office))
    typed = f"{PASSPHRASE}\n"
    clock = FakeClock(DAY_OF_SIGNING)
    add = ("roster", "add", TECH.principal, "--name", TECH.name, "--role", "technician", "--key", str(public))
    assert run("roster", "write", "--expires", BEFORE, *at).code == 0
    assert run("roster", "write", "--expires", BEFORE, *at).code == 1
    assert run(*add, "--until", "2027-06-30", *at, clock=clock).code == 0
    assert run(*add, "--until", "2027-06-30", *at, clock=clock).code == 1
    assert run("roster", "show", *at, clock=clock).code == 3
    wrong = run("roster", "sign", "--key", "root", *at, typed="no\n")
    signed = run("roster", "sign", "--key", "root", *at, typed=typed)
    assert (wrong.code, signed.code) == (1, 0)
    shown = run("roster", "show", *at, clock=clock)
    assert (shown.code, "Ash Glaze" in shown.out, "version 2" in shown.out) == (0, True, True)

    old = shutil.copytree(office / "roster", tmp_path / "old") / "allowed_signers"
    take = ("--root", fingerprint(ROOT.public), "--home", str(laptop))
    assert run("roster", "take", str(old), "--home", str(laptop)).code == 1
    assert run("roster", "take", str(old), "--root", fingerprint(SUPER.public), "--home", str(laptop)).code == 1
    assert run("roster", "take", str(old), *take).code == 0
    assert run("roster", "retire", TECH.principal, "--on", "2026-12-01", *at).code == 0
    assert run("roster", "sign", "--key", "root", *at, typed=typed).code == 0
    assert run("roster", "take", str(office / "roster" / "allowed_signers"), "--home", str(laptop)).code == 0
    older = run("roster", "take", str(old), "--home", str(laptop))
    assert (older.code, "older than version 3" in older.err) == (1, True)
    log = tmp_path / "log.jsonl"
    log.write_bytes(b"".join(signed_lines(TECH)))
    told = verify(laptop, str(log), "--roster", str(old))
    assert (told.code, "older than version 3" in told.out) == (3, True)


def test_a_new_job_freezes_the_roster_of_the_day(home: Path) -> None:
    """On a machine that took a roster over, the first entry names it; without one, nothing is named."""
    run("walk", CARD, "--plain", "--home", str(home), typed="leave\n")
    first = read_only(only_log(home, "records")).entries[0].data["roster"]
    only_log(home, "records").unlink()
    path = with_roster(home)
    run("walk", CARD, "--plain", "--home", str(home), typed="leave\n")
    then = read_only(only_log(home, "records")).entries[0].data["roster"]

    assert first is None
    assert then == {"version": 3, "sha256": sha256_hex(path.read_bytes())}


def test_keys_are_made_and_shown(home: Path) -> None:
    """A key is made after its passphrase was typed twice alike, and shown by fingerprint and public half."""
    differing = run("keys", "new", "ash", "--home", str(home), typed=f"{PASSPHRASE}\nother words\n")
    made = run("keys", "new", "ash", "--home", str(home), typed=f"{PASSPHRASE}\n{PASSPHRASE}\n")
    shown = run("keys", "show", "--home", str(home))

    assert (differing.code, "differ" in differing.err) == (1, True)
    assert (made.code, shown.code) == (0, 0)
    assert made.out == shown.out
    assert "SHA256:" in made.out
    assert PASSPHRASE not in made.out + made.err


@pytest.mark.slow
def test_keys_are_taken_over(home: Path, tmp_path: Path) -> None:
    """A key from another place is copied under its passphrase, and has the same public half."""
    other = with_key(tmp_path / "other", TECH)
    taken = run(
        "keys", "import", str(tmp_path / "other" / "keys" / other), "mine", "--home", str(home),
        typed=f"{PASSPHRASE}\n",
    )  # fmt: skip

    assert taken.code == 0
    assert public_text(TECH.public) in taken.out
    assert PASSPHRASE not in taken.out + taken.err


@pytest.mark.parametrize(
    "argv",
    [("sign",), ("keys",), ("roster", "add"), ("verify",), ("sign", "x.jsonl", "--role", "client"),
     ("roster", "write", "--expires", "soon"), ("walk", CARD, "--plain", "--replaces", "the old one")],
    ids=" ".join,
)  # fmt: skip
def test_wrong_use_of_these_commands(argv: tuple[str, ...], home: Path) -> None:
    """What is not known is refused with one sentence and 64."""
    ran = run(*argv, *(("--home", str(home)) if len(argv) > 1 else ()))

    assert (ran.code, ran.out) == (64, "")


@pytest.mark.parametrize(
    "argv",
    [
        ("sign", "none"),
        ("verify", "none"),
        ("verify", "x", "--roster", "none"),
        ("roster", "take", "none"),
        ("keys", "import", "none", "name"),
    ],
    ids=" ".join,
)
def test_files_that_are_not_there(argv: tuple[str, ...], home: Path) -> None:
    """A file that cannot be read ends with 66 and its name."""
    ran = run(*argv, "--home", str(home))

    assert ran.code == 66, ran.err
    assert "none" in ran.err or "x" in ran.err


# --- diary and heads ---


def test_diary_and_heads_are_held_against_the_log(home: Path, tmp_path: Path, closed: dict[str, bytes]) -> None:
    """A signed job stands in the diary with its last entry; cut back to before the signature, or missing in the
    diary, it is told, and so is a diary that was changed itself. Shows: RI-05, RI-06."""
    run("walk", CARD, "--plain", "--home", str(home), "--second-medium", str(tmp_path), typed="leave\n")
    diary = home / "records" / "diary.jsonl"
    log = placed(home, closed["alone"])
    with_roster(home)
    with_key(home, TECH)
    assert sign(home, log).code == 0
    lines = diary.read_bytes().splitlines(keepends=True)
    told = verify(home, str(log), "--diary", str(diary))
    log.write_bytes(b"".join(log.read_bytes().splitlines(keepends=True)[:-1]))
    cut = verify(home, str(log), "--diary", str(diary))
    by_head = verify(home, str(log), "--heads", str(diary))
    diary.write_bytes(b"".join(lines[:-1]))
    unnamed = verify(home, str(log), "--diary", str(diary))
    diary.write_bytes(lines[0].replace(b"opened", b"closed") + b"".join(lines[1:]))
    changed = verify(home, str(log), "--diary", str(diary))

    assert b'"kind":"signed"' in lines[-1]
    assert (told.code, "they agree with this log" in told.out) == (0, True)
    assert (cut.code, "its end was cut off" in cut.out) == (1, True)
    assert (by_head.code, "By a head that left the machine" in by_head.out) == (1, True)
    assert (unnamed.code, "no line about job" in unnamed.out) == (3, True)
    assert (changed.code, "the diary" in changed.out.lower()) == (1, True)
