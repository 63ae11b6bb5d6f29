"""The statement: rendered from the log, with only the signer's own words read from it."""

from __future__ import annotations

from dataclasses import replace
from typing import Any

import pytest

from ferrule.engine.canon import dumps, sha256_hex
from ferrule.engine.journal.entry import decode
from ferrule.engine.journal.statement import (
    MEANINGS,
    REMARKS_MAX,
    Claims,
    StatementError,
    read_claims,
    render,
    telephone_releases,
)
from tests.support.demolog import CLOSE_DATA, JOB_ID, did_data, open_data, write_lines
from tests.support.signing import SUPER, TECH, claims_of, closed_lines

BEFORE = [decode(line) for line in closed_lines()]
RELEASE = {
    "command": {"do": "sign"},
    "person": "tech",
    "events": [
        {"event": "signed", "hold": "five", "role": "supervisor", "person": "super", "telephone": "words read back"},
        {"event": "signed", "hold": "five", "role": "technician", "person": "tech", "telephone": ""},
    ],
}


def with_release() -> list[Any]:
    """A closed log in which one hold point was released by telephone."""
    parts = [("open", open_data()), ("did", did_data(1)), ("did", RELEASE), ("close", CLOSE_DATA)]
    return [decode(line) for line in write_lines(parts)]


def test_statement_is_the_text_of_the_format() -> None:
    """Keys, order and line ends are those of the format, with what the log says in them. Shows: SG-02, SG-05."""
    texts = sha256_hex(dumps(BEFORE[0].data["texts"]))

    assert render(BEFORE, claims_of(TECH)) == (
        "ferrule statement 1\n"
        f"job: {JOB_ID}\n"
        f"texts: sha256:{texts}\n"
        "rules: 2\n"
        "records: 4\n"
        f"head: sha256:{BEFORE[-1].sum}\n"
        "outcome: complete\n"
        "role: technician\n"
        "decision: accepted\n"
        "signer: ash.glaze@saltmarsh.example\n"
        "name: Ash Glaze\n"
        "signed-at: 2026-03-14T11:42:07Z\n"
        "roster: none\n"
        "meaning: I carried out the recorded steps and entered the readings taken.\n"
    )


def test_remarks_and_releases_by_telephone_are_signed() -> None:
    """Remarks and the entries with releases by telephone stand in the signed text, each where it belongs."""
    claims = claims_of(SUPER, decision="accepted with remarks", remarks="Ring step two read twice.")
    lines = render(with_release(), claims).split("\n")

    assert lines[7:11] == [
        "by-telephone: 3",
        "role: supervisor",
        "decision: accepted with remarks",
        "remarks: Ring step two read twice.",
    ]
    assert [(r.entry, r.hold, r.role, r.words) for r in telephone_releases(with_release())] == [
        (3, "five", "supervisor", "words read back")
    ]


def test_claims_are_read_back() -> None:
    """What the signer said is read back from the statement as it was given, for each role and decision."""
    for role, decision in MEANINGS:
        remarks = "" if decision == "accepted" else "Two: readings; one = sign."
        claims = claims_of(SUPER, role=role, decision=decision, remarks=remarks, roster=f"3 sha256:{'a' * 64}")

        assert read_claims(role, render(BEFORE, claims)) == claims


@pytest.mark.parametrize(
    "changes",
    [
        {"decision": "approved"},
        {"decision": "rejected"},
        {"role": "apprentice"},
        {"role": "technician", "decision": "accepted with remarks", "remarks": "x"},
        {"remarks": "without a decision that wants them"},
        {"decision": "rejected", "remarks": "two\nlines"},
        {"decision": "rejected", "remarks": "x" * (REMARKS_MAX + 1)},
        {"name": ""},
        {"name": " Ash"},
        {"name": "Ash\u0085"},
        {"name": "A" * 201},
        {"signer": "ash glaze"},
        {"signer": "*"},
        {"signer": ""},
        {"signed_at": "2026-03-14T11:42:07+00:00"},
        {"signed_at": "2026-02-30T11:42:07Z"},
        {"roster": "3"},
        {"roster": ""},
    ],
    ids=str,
)
def test_claims_that_could_mislead_are_refused(changes: dict[str, str]) -> None:
    """A decision that is not on the list, a hidden line, a pattern for a name: no statement is made. Shows: SG-02."""
    with pytest.raises(StatementError):
        render(BEFORE, claims_of(SUPER, **changes))


def test_nothing_of_the_log_is_believed() -> None:
    """A statement with other facts of the log yields the same claims, so only rendering tells them apart."""
    text = render(BEFORE, claims_of(TECH))
    forged = text.replace("outcome: complete", "outcome: made safe").replace("records: 4", "records: 9")

    assert read_claims("technician", forged) == claims_of(TECH)
    assert render(BEFORE, read_claims("technician", forged)) == text


def test_an_open_log_has_no_statement() -> None:
    """Before the close there is nothing to sign."""
    with pytest.raises(StatementError, match="not closed"):
        render(BEFORE[:-1], claims_of(TECH))


def test_control_characters_from_the_log_are_refused() -> None:
    """A log whose own words would break a line of the statement cannot be signed."""
    entries = [replace(BEFORE[0], data=dict(BEFORE[0].data) | {"rules": "1\nrole: supervisor"}), *BEFORE[1:]]

    with pytest.raises(StatementError, match="control"):
        render(entries, claims_of(TECH))


def test_a_statement_that_is_none_is_refused() -> None:
    """Any text gives claims or the one error."""
    text = render(BEFORE, claims_of(TECH))
    for wrong in ("", "ferrule statement 1\n", text.replace("decision", "decided"), text.replace("name: ", "name:")):
        with pytest.raises(StatementError):
            read_claims("technician", wrong)
    assert isinstance(read_claims("technician", text), Claims)
