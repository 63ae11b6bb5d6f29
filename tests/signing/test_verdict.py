"""What a log comes to: every way in which a signature can be wrong, and the result for each."""

from __future__ import annotations

from collections.abc import Callable
from dataclasses import dataclass, replace

import pytest

from ferrule.engine.journal.roster import parse_roster, render_roster, with_removal
from ferrule.engine.journal.signatures import BAD, GOOD, UNSURE
from ferrule.engine.journal.sshsig import ROLE_NAMESPACES
from ferrule.engine.journal.trust import NO_TRUST, Trust
from ferrule.engine.journal.verdict import CHANGED, INCOMPLETE, SIGNED, UNJUDGED, Verdict, judge_log
from tests.support.demolog import CLOSE_DATA, RESUMED_DATA, did_data, open_data, write_lines
from tests.support.signing import (
    CHECK,
    ROSTER,
    SIGNED_AT,
    STRANGER,
    SUPER,
    TECH,
    Person,
    body_of,
    closed_lines,
    named,
    relinked,
    roster_of,
    sign_line,
    signed_lines,
    trust_in,
    verdict,
)

BOTH_ROLES = roster_of(TECH.member(roles=("technician", "supervisor")), SUPER.member(), version=3)
TWIN = Person("ash.two@saltmarsh.example", "Ash Glaze", "supervisor")
BAY = Person("bay.kiln@saltmarsh.example", "Bay Kiln", "technician")
"""The supervisor's own key, used as technician."""


def results(found: Verdict) -> list[tuple[str, str]]:
    """Result and code of each signature."""
    return [(one.result, one.code) for one in found.signatures]


# --- sound logs, by plan ---


def test_alone_is_signed_by_the_technician() -> None:
    """Alone, one good signature of the technician is all that is asked for."""
    found = verdict(signed_lines(TECH))

    assert (found.code, found.reasons, results(found)) == (SIGNED, (), [(GOOD, "good")])
    assert found.remarks == ()


def test_supervised_needs_both() -> None:
    """Supervised, the technician's signature alone leaves the log incomplete, and the second makes it signed. Shows:
    SG-08."""
    one, both = (verdict(signed_lines(*people, sign_off="supervised")) for people in ((TECH,), (TECH, SUPER)))

    assert (one.code, results(one)) == (INCOMPLETE, [(GOOD, "good")])
    assert "supervisor's signature" in one.reasons[0]
    assert (both.code, results(both)) == (SIGNED, [(GOOD, "good")] * 2)


def test_reviewed_later_awaits_its_review() -> None:
    """Reviewed later, the technician's signature is enough, and the text says that the review is awaited."""
    first, then = (verdict(signed_lines(*people, sign_off="reviewed later")) for people in ((TECH,), (TECH, SUPER)))

    assert (first.code, then.code) == (SIGNED, SIGNED)
    assert [remark for remark in first.remarks if "Awaiting review" in remark]
    assert then.remarks == ()


@pytest.mark.parametrize(
    ("lines", "says"),
    [
        (closed_lines(), "unsigned"),
        (closed_lines()[:-1], "open"),
        (closed_lines()[:1], "open"),
        ([*signed_lines(TECH), b'{"body":{"boot":'], "torn"),
        ([*closed_lines()[:-1], closed_lines()[-1][:50]], "torn"),
        ([], "no whole entry"),
    ],
)
def test_sound_but_incomplete(lines: list[bytes], says: str) -> None:
    """Open, torn and unsigned logs are sound and incomplete, and plainly called so. Shows: RI-05."""
    found = verdict(lines)

    assert found.code == INCOMPLETE
    assert any(says in reason for reason in found.reasons)


def test_unsigned_needs_no_roster_to_be_called_so() -> None:
    """A log without a signature is unsigned whether a roster is at hand or not."""
    assert verdict(closed_lines(), NO_TRUST).code == INCOMPLETE


def test_rejection_stands() -> None:
    """A good rejection makes the log incomplete with its reason, and a later acceptance does not undo it."""
    lines = signed_lines(TECH, sign_off="supervised")
    lines.append(sign_line(lines, SUPER, decision="rejected", remarks="No second reading at S5."))
    found = verdict(lines)
    lines.append(sign_line(lines, SUPER, signed_at="2026-03-16T08:00:00Z"))
    later = verdict(lines)

    assert found.code == later.code == INCOMPLETE
    assert "No second reading at S5." in found.reasons[0]
    assert results(later)[-1] == (BAD, "repeated")


# --- the matrix: one thing wrong each ---


@dataclass(frozen=True)
class Row:
    """A log with one thing wrong, and what it comes to."""

    case: str
    make: Callable[[], list[bytes]]
    code: int
    result: str
    reason: str
    """The code of the last signature."""
    trust: Callable[[], Trust] = trust_in
    sign_off: str = "alone"


def alone(person: Person = TECH, **how: object) -> Callable[[], list[bytes]]:
    """A log that one person signed in this way."""

    def make() -> list[bytes]:
        lines = closed_lines()
        return [*lines, sign_line(lines, person, **how)]  # type: ignore[arg-type]

    return make


def second(person: Person, **how: object) -> Callable[[], list[bytes]]:
    """A supervised log that the technician signed, with this second signature."""

    def make() -> list[bytes]:
        lines = signed_lines(TECH, sign_off="supervised")
        return [*lines, sign_line(lines, person, **how)]  # type: ignore[arg-type]

    return make


def other_job() -> list[bytes]:
    """A log with the signature line of another job."""
    lines = closed_lines()
    other = closed_lines(job_id="20260315t093000z-abcdefghij")
    body = body_of(sign_line(other, TECH))
    return relinked([*map(body_of, lines), body])


def swapped() -> list[bytes]:
    """A supervised log in which the supervisor signed first."""
    lines = closed_lines("supervised")
    lines.append(sign_line(lines, SUPER))
    return [*lines, sign_line(lines, TECH, signed_at="2026-03-15T09:00:00Z")]


def removed(person: Person, **how: str) -> Callable[[], Trust]:
    """The roster with this person's key removed."""

    def make() -> Trust:
        return trust_in(render_roster(with_removal(parse_roster(ROSTER), person.public, **how)).encode())

    return make


def rewrap(armour: str) -> str:
    """The same signature, wrapped otherwise; OpenSSH takes it."""
    lines = armour.split("\n")
    return "\n".join([lines[0], "".join(lines[1:-2]), *lines[-2:]])


EARLIER, AT, LATER = "2026-03-01T00:00:00Z", SIGNED_AT, "2026-06-01T00:00:00Z"

ROWS = (
    # wrong data
    Row("statement of another job", other_job, CHANGED, BAD, "statement"),
    Row("another count", alone(statement=lambda s: s.replace("records: 4", "records: 3")), CHANGED, BAD, "statement"),
    Row("another outcome", alone(statement=lambda s: s.replace("complete", "made safe")), CHANGED, BAD, "statement"),
    Row("another meaning", alone(statement=lambda s: s.replace("I carried", "He carried")), CHANGED, BAD, "statement"),
    Row("a line more", alone(statement=lambda s: f"{s}witness: nobody\n"), CHANGED, BAD, "statement"),
    Row("a line less", alone(statement=lambda s: s.replace("outcome: complete\n", "")), CHANGED, BAD, "statement"),
    Row("no last line end", alone(statement=lambda s: s[:-1]), CHANGED, BAD, "statement"),
    Row("order of lines", alone(statement=lambda s: _turned(s)), CHANGED, BAD, "statement"),
    Row("changed behind the signature", alone(sshsig=lambda _: _over("other")), CHANGED, BAD, "signature"),
    Row("other times on the line", alone(envelope={"wall": "2026-03-14T11:42:08Z"}), CHANGED, BAD, "envelope"),
    Row("elapsed time of its own", alone(envelope={"mono_ms": 3_001}), CHANGED, BAD, "envelope"),
    Row("boot of its own", alone(envelope={"boot": "boot-2:0"}), CHANGED, BAD, "envelope"),
    Row("armour wrapped otherwise", alone(sshsig=rewrap), CHANGED, BAD, "armour"),
    Row("no armour", alone(sshsig=lambda _: "armour"), CHANGED, BAD, "armour"),
    # wrong key
    Row("a key nobody knows", alone(STRANGER), UNJUDGED, UNSURE, "key-unknown"),
    Row("in another's name", alone(signer=SUPER.principal), CHANGED, BAD, "signer"),
    Row("under another printed name", alone(name="Bay Kiln"), CHANGED, BAD, "name"),
    Row("no roster", alone(), UNJUDGED, UNSURE, "roster-missing", lambda: NO_TRUST),
    # wrong role
    Row("for another purpose", alone(namespace="git"), CHANGED, BAD, "namespace"),
    Row(
        "as supervisor under the technician's purpose",
        second(SUPER, namespace=ROLE_NAMESPACES["technician"]),
        CHANGED,
        BAD,
        "namespace",
    ),
    Row("in a role not granted", alone(BAY), CHANGED, BAD, "role"),
    # wrong time
    Row("before it was valid", alone(signed_at="2025-12-31T23:59:59Z"), CHANGED, BAD, "not-yet-valid"),
    Row("after it ran out", alone(signed_at="2027-01-01T00:00:01Z"), CHANGED, BAD, "expired"),
    Row("retired before", alone(), CHANGED, BAD, "retired", removed(TECH, retired=EARLIER)),
    Row("compromised before", alone(), CHANGED, BAD, "compromised", removed(TECH, compromised=EARLIER)),
    Row("compromised at that second", alone(), CHANGED, BAD, "compromised", removed(TECH, compromised=AT)),
    Row("compromised later", alone(), UNJUDGED, UNSURE, "compromised-later", removed(TECH, compromised=LATER)),
    # the second signature
    Row("repeated", second(TECH, role="technician", signed_at=LATER), INCOMPLETE, BAD, "repeated"),
    Row(
        "one key for both roles",
        second(TECH, role="supervisor", signer=SUPER.principal, name=SUPER.name),
        CHANGED,
        BAD,
        "signer",
    ),
    Row(
        "one key for both roles, which the roster grants",
        second(TECH, role="supervisor"),
        CHANGED,
        BAD,
        "same-key",
        lambda: trust_in(BOTH_ROLES),
    ),
    Row(
        "one person with two keys",
        second(TWIN),
        CHANGED,
        BAD,
        "same-person",
        lambda: trust_in(roster_of(TECH.member(), TWIN.member())),
    ),
    Row("the supervisor first", swapped, CHANGED, GOOD, "good"),
    # the roster against the signature
    Row(
        "signed under a newer roster",
        alone(roster=f"4 sha256:{'a' * 64}"),
        UNJUDGED,
        UNSURE,
        "roster-older",
    ),
    Row("signed under another roster", alone(roster=f"3 sha256:{'a' * 64}"), UNJUDGED, UNSURE, "roster-differs"),
)


def _turned(statement: str) -> str:
    lines = statement.splitlines()
    lines[-2], lines[-3] = lines[-3], lines[-2]
    return "".join(f"{line}\n" for line in lines)


def _over(text: str) -> str:
    from ferrule.engine.journal.sshsig import make

    return make(ROLE_NAMESPACES["technician"], text.encode(), TECH.public, TECH.private.sign)


@pytest.mark.parametrize("row", ROWS, ids=lambda row: row.case)
def test_each_wrong_signature_has_its_reason(row: Row) -> None:
    """One thing is wrong: the log does not count as signed, and the reason is the one for it. Shows: SG-02, SG-03,
    SG-08, SG-09, SG-10."""
    found = verdict(row.make(), row.trust())

    assert (found.code, found.signatures[-1].result, found.signatures[-1].code) == (row.code, row.result, row.reason)
    assert found.code != SIGNED
    assert found.reasons


def test_every_reason_is_of_one_result() -> None:
    """No reason stands for two results, so that a code can be relied on. Shows: SG-09."""
    of: dict[str, set[str]] = {}
    for row in ROWS:
        of.setdefault(row.reason, set()).add(row.result)

    assert all(len(results) == 1 for results in of.values())
    assert len(of) >= 20


@pytest.mark.parametrize("retired", [AT, LATER])
def test_what_a_retired_key_signed_before_stands(retired: str) -> None:
    """A key that is retired later still carries what it signed until then. Shows: SG-10, SG-11."""
    assert verdict(signed_lines(TECH), removed(TECH, retired=retired)()).code == SIGNED


def test_three_generations_of_keys_verify() -> None:
    """With two rotations in the roster, logs signed with each of the three keys are still signed. Shows: SG-11."""
    keys = [
        Person(TECH.principal, TECH.name, "technician"),
        *(OldKey(TECH.principal, TECH.name, "technician", n) for n in (1, 2)),
    ]
    days = ["2026-01-01T00:00:00Z", "2026-02-01T00:00:00Z", "2026-03-01T00:00:00Z", "2026-04-01T00:00:00Z"]
    members = [
        replace(key.member(), after=days[n], before=days[n + 1], retired=days[n + 1]) for n, key in enumerate(keys)
    ]
    trust = trust_in(roster_of(*members))
    for number, key in enumerate(keys):
        lines = closed_lines()
        inside = days[number].replace("-01T", "-15T")
        assert verdict([*lines, sign_line(lines, key, signed_at=inside)], trust).code == SIGNED
        assert verdict([*lines, sign_line(lines, key, signed_at="2026-06-01T00:00:00Z")], trust).code == CHANGED


@dataclass(frozen=True)
class OldKey(Person):
    """The same person with another key."""

    number: int = 0

    @property
    def private(self):  # type: ignore[no-untyped-def]
        """Another key for each number."""
        return Person(f"{self.principal}{self.number}", self.name, self.role).private


def test_a_good_signature_beside_a_bad_one_counts() -> None:
    """Somebody who could not sign is followed by somebody who can: the log is signed, and both are named."""
    lines = closed_lines()
    lines.append(sign_line(lines, TECH, signed_at="2025-12-31T00:00:00Z"))
    lines.append(sign_line(lines, TECH))
    found = verdict(lines)

    assert (found.code, results(found)) == (SIGNED, [(BAD, "not-yet-valid"), (GOOD, "good")])
    assert any("does not count" in remark for remark in found.remarks)


def test_a_broken_signature_is_never_healed() -> None:
    """A signature that does not belong to the log stays a sign of change, whoever signs after it."""
    lines = closed_lines()
    lines.append(sign_line(lines, TECH, statement=lambda s: s.replace("records: 4", "records: 3")))
    lines.append(sign_line(lines, TECH))

    assert verdict(lines).code == CHANGED


def test_supervisor_covers_the_technicians_signature() -> None:
    """The technician's signature is changed for another good one: the supervisor's no longer fits. Shows: SG-08."""
    lines = signed_lines(TECH, SUPER, sign_off="supervised")
    other = sign_line(lines[:4], TECH, signed_at="2026-03-14T12:00:00Z")
    forged = relinked([body_of(line) for line in [*lines[:4], other, lines[5]]])

    assert results(verdict(forged)) == [(GOOD, "good"), (BAD, "statement")]
    assert verdict(forged).code == CHANGED


def test_a_job_opened_under_a_newer_roster_cannot_be_judged_by_an_older_one() -> None:
    """The first entry freezes the roster of the day; an older one is refused even where no signature names one."""
    lines = closed_lines(roster={"version": 4, "sha256": "a" * 64})
    found = verdict([*lines, sign_line(lines, TECH)])

    assert (found.code, found.signatures[0].code) == (UNJUDGED, "roster-older")


def test_the_named_roster_is_the_one_given() -> None:
    """A signature that names the given roster, or an older one, is judged by it."""
    for roster in (named(), f"2 sha256:{'a' * 64}", "none"):
        lines = closed_lines()
        assert verdict([*lines, sign_line(lines, TECH, roster=roster)]).code == SIGNED


def test_without_the_package_nothing_is_said_to_be_good() -> None:
    """Where signatures cannot be checked the log cannot be judged, and other damage is still found. Shows: SG-12."""
    lines = signed_lines(TECH)
    found = judge_log(b"".join(lines), NO_TRUST, None)
    forged = alone(statement=lambda s: s.replace("complete", "made safe"))()

    assert (found.code, found.signatures[0].code) == (UNJUDGED, "no-package")
    assert judge_log(b"".join(forged), NO_TRUST, None).code == CHANGED


# --- what is not a signature's own fault ---


def test_practice_is_refused_by_what_it_is() -> None:
    """A practice log with a good signature is no sound log, and without one it is called practice. Shows: TR-15."""
    lines = write_lines([("open", open_data(mode="practice")), ("did", did_data(1)), ("close", CLOSE_DATA)])
    unsigned, signed = verdict(lines), verdict([*lines, sign_line(lines, TECH)])

    assert (unsigned.code, signed.code) == (INCOMPLETE, CHANGED)
    assert any("practice" in reason for reason in unsigned.reasons)
    assert "practice log can never be signed" in signed.reasons[0]


def test_unknown_format_and_rules_cannot_be_judged() -> None:
    """A later format or later rules are not damage: they cannot be judged, and nothing is guessed. Shows: RI-12."""
    later = relinked([body_of(closed_lines()[0]) | {"data": open_data() | {"format": 2, "more": 1}}])
    rules = closed_lines(rules="99")

    assert verdict(later).code == UNJUDGED
    assert "format 2" in verdict(later).reasons[0]
    assert verdict([*rules, sign_line(rules, TECH)]).code == UNJUDGED


def test_entries_after_the_last_signature_are_named() -> None:
    """What stands behind the last signature is signed by nobody, and the text says so."""
    lines = signed_lines(TECH)
    bodies = [body_of(line) for line in lines]
    more = {**bodies[-1], "kind": "resumed", "data": RESUMED_DATA}
    found = verdict(relinked([*bodies, more]))

    assert found.code == SIGNED
    assert found.remarks == ("After the last signature 1 more entries stand, which nobody signed.",)


def test_a_roster_that_ran_out_is_reported() -> None:
    """A roster past its date still judges, and the reader is told to ask for the newest."""
    data = b"".join(signed_lines(TECH))

    assert judge_log(data, trust_in(), CHECK, "2026-12-31T00:00:00Z").remarks == ()
    assert "ran out" in judge_log(data, trust_in(), CHECK, "2027-01-02T00:00:00Z").remarks[0]


def test_a_clock_that_was_wrong_is_remarked() -> None:
    """A signature dated before the close of its own job says that a clock was wrong."""
    lines = closed_lines()
    found = verdict([*lines, sign_line(lines, TECH, signed_at="2026-03-01T00:00:00Z")])

    assert "a clock was wrong" in found.remarks[0]


def test_releases_by_telephone_wait_for_the_countersignature() -> None:
    """A release by telephone is named in the result, as not countersigned until the supervisor accepts the record."""
    signed = {"event": "signed", "hold": "five", "role": "supervisor", "person": "super", "telephone": "read back"}
    act = {"command": {"do": "sign"}, "person": "tech", "events": [signed]}
    lines = write_lines([("open", open_data(sign_off="supervised")), ("did", act), ("close", CLOSE_DATA)])
    lines.append(sign_line(lines, TECH))
    both = [*lines, sign_line(lines, SUPER)]
    no = [*lines, sign_line(lines, SUPER, decision="rejected", remarks="No.")]

    assert [verdict(log).remarks[-1].rpartition(", ")[2] for log in (lines, both, no)] == [
        "not countersigned.",
        "countersigned by the supervisor.",
        "not countersigned.",
    ]
    assert verdict(both).releases[0].words == "read back"
