"""What each kind of entry may hold: nothing is missing, nothing is added, nothing is of another kind."""

from typing import Any

import pytest

from ferrule.engine.canon import sha256_hex
from ferrule.engine.journal.entry import EntryError
from ferrule.engine.journal.schema import check_data
from tests.support.demolog import CLOSE_DATA, RESUMED_DATA, SIGNATURE_DATA, did_data, open_data

STEP_DATA: dict[str, Any] = {
    "wall_before": "2026-03-14T09:30:00Z",
    "wall_after": "2026-03-14T08:30:00Z",
    "mono_ms_before": 0,
    "mono_ms_after": 10,
}
GOOD: dict[str, dict[str, Any]] = {
    "open": open_data(),
    "did": did_data(1),
    "checkpoint": {"stage": "dead tests"},
    "clock_step": STEP_DATA,
    "resumed": RESUMED_DATA,
    "close": CLOSE_DATA,
    "signature": SIGNATURE_DATA,
}


def text(role: str, name: str, content: str) -> dict[str, str]:
    """An embedded text with the right hash."""
    return {"role": role, "id": name, "sha256": sha256_hex(content.encode()), "text": content}


@pytest.mark.parametrize("kind", GOOD)
def test_each_kind_takes_its_own_members_only(kind: str) -> None:
    """For each kind: the sample passes; without any one member, or with one more, it is refused by the name of it."""
    check_data(kind, GOOD[kind])
    with pytest.raises(EntryError, match='holds "spare", which is not one of its members'):
        check_data(kind, GOOD[kind] | {"spare": 1})
    for name in GOOD[kind]:
        with pytest.raises(EntryError, match=f'has no "{name}"'):
            check_data(kind, {key: value for key, value in GOOD[kind].items() if key != name})


@pytest.mark.parametrize("kind", GOOD)
def test_each_member_refuses_a_value_of_another_kind(kind: str) -> None:
    """No member of any kind takes a number with a point, a list of lists or a text in place of an object."""
    for name in GOOD[kind]:
        wrong: Any
        for wrong in (0.5, [[]], -1, True):
            with pytest.raises(EntryError, match=name):
                check_data(kind, GOOD[kind] | {name: wrong})


def test_unknown_kind_is_refused_by_name() -> None:
    """A kind that is not in the table stops the reading and is named."""
    with pytest.raises(EntryError, match='"amended" is not a kind of entry'):
        check_data("amended", {})


@pytest.mark.parametrize(
    ("kind", "changes", "words"),
    [
        ("open", {"format": 2}, "open.format.*one of 1"),
        ("open", {"format": True}, "open.format"),
        ("open", {"mode": "trial"}, "one of work, practice"),
        ("open", {"title": " "}, "not empty"),
        ("open", {"job_id": "../../etc"}, "a job id such as"),
        ("open", {"job_id": "20260314t093000z-abcdefghi1"}, "a job id such as"),
        ("open", {"decimal_sign": ";"}, "decimal_sign"),
        ("open", {"sign_off": "nobody"}, "alone, supervised, reviewed later"),
        ("open", {"roster": {"version": 3}}, 'has no "sha256"'),
        ("open", {"diary": {"seq": 1, "head": "0"}}, "SHA-256"),
        ("open", {"nonce": "XYZ"}, "nonce"),
        ("open", {"supersedes": "an earlier one"}, "a job id such as"),
        ("open", {"texts": [text("recipe", "a", "x")]}, r"texts\[1\].role"),
        ("open", {"texts": [text("card", "a", "x") | {"text": "y"}]}, "does not match the hash"),
        ("open", {"texts": [text("card", "a", "x"), text("card", "a", "y")]}, "embedded twice"),
        ("open", {"texts": [text("card", "a", "x" * 262_145)]}, "at most 262144"),
        ("open", {"texts": [text("terms", str(n), "x" * 250_000) for n in range(4)]}, "at most 921600"),
        ("did", {"command": "enter reading"}, "did.command.*an object"),
        ("did", {"events": ["reading entered"]}, r"did.events\[1\].*an object"),
        ("did", {"events": {}}, "did.events.*a list"),
        ("did", {"person": ""}, "not empty"),
        ("clock_step", {"wall_after": "noon"}, "wall_after.*date and time"),
        ("resumed", {"torn_bytes": 3}, "exactly when something was cut"),
        ("resumed", {"torn_sha256": "a" * 64}, "exactly when something was cut"),
        ("close", {"outcome": "done"}, "made safe, put back as found"),
        ("close", {"counts": {"readings": "3"}}, "close.counts.readings"),
        ("signature", {"role": "apprentice"}, "technician, supervisor"),
    ],
)
def test_wrong_value_is_refused_with_its_place(kind: str, changes: dict[str, Any], words: str) -> None:
    """The message names the member that is wrong and what it should hold."""
    with pytest.raises(EntryError, match=words):
        check_data(kind, GOOD[kind] | changes)


@pytest.mark.parametrize(
    "changes",
    [
        {"roster": {"version": 3, "sha256": "a" * 64}},
        {"diary": {"seq": 0, "head": "0" * 64}},
        {"supersedes": "20260301t080000z-abcdefghij"},
        {"mode": "practice", "site": ""},
        {"texts": [text("card", "a", "x" * 262_144), text("plan", "a", "")]},
    ],
)
def test_first_entry_takes_what_the_format_allows(changes: dict[str, Any]) -> None:
    """Roster, diary and superseded job may be named, the site may be empty, and two roles may share an id."""
    check_data("open", open_data(**changes))


@pytest.mark.parametrize("data", [None, [], "text", 3])
def test_data_that_is_no_object_is_refused(data: Any) -> None:
    """Whatever the kind, data is an object."""
    for kind in GOOD:
        with pytest.raises(EntryError, match="should be an object"):
            check_data(kind, data)
