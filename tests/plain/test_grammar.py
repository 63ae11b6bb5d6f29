"""One line, one command: the grammar of typed lines as a table, and its refusals."""

from __future__ import annotations

import re
from dataclasses import dataclass, replace

import pytest
from hypothesis import given, settings
from hypothesis import strategies as st

from ferrule.engine.procedure.compiled import Job
from ferrule.engine.walk import commands as c
from ferrule.engine.walk.cell_view import CellView
from ferrule.engine.walk.evolve import start
from ferrule.engine.walk.situation import Situation, StepView, situation
from ferrule.engine.walk.state import Pending
from ferrule.tui.plain_commands import COMMAND_FORMS
from ferrule.tui.plain_grammar import grammar_text, parse_line
from ferrule.tui.plain_line import LINE_MAX, Around, Fill, Give, LineError, Local, Parsed

AT = c.Stamp(1000, "2026-11-25")
HERE = "ring-two/read"


def cell(point: str, name: str, kind: str, states: tuple[str, ...] = ()) -> CellView:
    """One place of a step."""
    unit = "ohm" if kind == "number" else ""
    return CellView(
        point, f"point {point}", name, f"{name} to read", kind, unit, "", "", "0.01", states, "", "", "", ""
    )


ROUND = (
    cell("S1", "ohm", "number"),
    cell("S1", "plug", "state", ("in", "out: none", "3")),
    cell("S2", "ohm", "number"),
    cell("S2", "plug", "state", ("in", "out: none", "3")),
    cell("", "after", "state", ("lit", "dark")),
    cell("", "length", "computed"),
)


@pytest.fixture(scope="module")
def base(job: Job) -> Situation:
    """A situation of the reference job, whose step the tests replace."""
    return situation(job, start(job, "tech"), 0)


def around(base: Situation, cells: tuple[CellView, ...] = ROUND, *, script: bool = True, **changes: object) -> Around:
    """What a line is read against: a round, or what the test makes of it."""
    step = replace(base.step, where=HERE, cells=cells, kind="round", is_round=True)  # type: ignore[type-var]
    step = replace(step, **{k: v for k, v in changes.items() if k in StepView.__slots__})
    rest = {k: v for k, v in changes.items() if k in Situation.__slots__}
    places = tuple(x for x in cells if x.kind != "computed")
    return Around(replace(base, step=step, **rest), "tech", AT, script, places)


def filled(*answers: tuple[str, str, str, str]) -> Fill:
    """The places that a line fills."""
    return Fill(tuple(c.CellAnswer(*answer) for answer in answers))


@dataclass(frozen=True)
class Row:
    """A line and what it gives."""

    line: str
    expect: Parsed


ROWS = (
    Row("", None),
    Row("   \t ", None),
    Row("# ring-two/read: done", None),
    Row(f"{HERE} S1 ohm: 0.22", filled(("S1", "ohm", c.NUMBER, "0.22"))),
    Row(f"  {HERE}  S1   ohm :0.22  ", filled(("S1", "ohm", c.NUMBER, "0.22"))),
    Row(f"{HERE} S1 ohm: 2.20 confirmed", Fill((c.CellAnswer("S1", "ohm", c.NUMBER, "2.20", True),))),
    Row(f"{HERE} S1 ohm: confirmed", filled(("S1", "ohm", c.NUMBER, "confirmed"))),
    Row(f"{HERE} S1 ohm: >99.9", filled(("S1", "ohm", c.NUMBER, ">99.9"))),
    Row(f"{HERE} S1 ohm: above", filled(("S1", "ohm", c.ABOVE, ""))),
    Row(f"{HERE} S1 ohm: none", filled(("S1", "ohm", c.BELOW, ""))),
    Row(f"{HERE} S1 ohm: not reached", filled(("S1", "ohm", c.NOT_REACHED, ""))),
    Row(f"{HERE} S1 ohm: Unstable", filled(("S1", "ohm", c.UNSTABLE, ""))),
    Row(f"{HERE} S1 ohm: zero", filled(("S1", "ohm", c.NUMBER, "zero"))),
    Row(f"{HERE} S2 plug: 1", filled(("S2", "plug", c.SEEN, "in"))),
    Row(f"{HERE} S2 plug: 2", filled(("S2", "plug", c.SEEN, "out: none"))),
    Row(f"{HERE} S2 plug: 3", filled(("S2", "plug", c.SEEN, "3"))),
    Row(f"{HERE} S2 plug: OUT: none", filled(("S2", "plug", c.SEEN, "out: none"))),
    Row(f"{HERE} S2 plug: not reached", filled(("S2", "plug", c.NOT_REACHED, ""))),
    Row(f"{HERE} after: dark", filled(("", "after", c.SEEN, "dark"))),
    Row(
        f"{HERE}: 0.22 ; in ; above;out: none; lit",
        filled(
            ("S1", "ohm", c.NUMBER, "0.22"),
            ("S1", "plug", c.SEEN, "in"),
            ("S2", "ohm", c.ABOVE, ""),
            ("S2", "plug", c.SEEN, "out: none"),
            ("", "after", c.SEEN, "lit"),
        ),
    ),
    Row(f"{HERE}: start", Give(c.StampRound("tech", AT, HERE, "start"))),
    Row(f"{HERE}: END", Give(c.StampRound("tech", AT, HERE, "end"))),
    Row(f"{HERE}: not applicable because no spur", Give(c.NotApplicable("tech", AT, HERE, "no spur"))),
    Row(f"{HERE}: clear", Local("clear")),
    Row("sign one as technician by tech", Give(c.Sign("tech", AT, "one", "technician"))),
    Row("sign one as client by client", Give(c.Sign("client", AT, "one", "client"))),
    Row("sign made safe as technician", Give(c.Sign("tech", AT, "made safe", "technician"))),
    Row(
        "sign four as designer by des telephone read back: type A",
        Give(c.Sign("des", AT, "four", "designer", "read back: type A")),
    ),
    Row("stop", Give(c.StopWork("tech", AT, ""))),
    Row("stop because the light went out", Give(c.StopWork("tech", AT, "the light went out"))),
    Row("carry on because it is lit again", Give(c.CarryOn("tech", AT, "it is lit again"))),
    Row("end as put back as found because no device", Give(c.EndAs("tech", AT, "put back as found", "no device"))),
    Row("End as made safe, other ways on because dark", Give(c.EndAs("tech", AT, "made safe, other ways on", "dark"))),
    Row("away", Give(c.StepAway("tech", AT, ""))),
    Row("away because the van", Give(c.StepAway("tech", AT, "the van"))),
    Row("back", Give(c.ComeBack("tech", AT))),
    Row("hand over to second locks mine off, theirs on", Give(c.HandOver("tech", AT, "second", "mine off, theirs on"))),
    Row("report leads changed", Give(c.Report("tech", AT, "leads changed", "", ""))),
    Row("report leads changed: new set", Give(c.Report("tech", AT, "leads changed", "", "new set"))),
    Row("report lock or key lost of mains", Give(c.Report("tech", AT, "lock or key lost", "mains", ""))),
    Row(
        "report lock or key lost of mains: key gone",
        Give(c.Report("tech", AT, "lock or key lost", "mains", "key gone")),
    ),
    Row("correct 12 because read the wrong socket", Give(c.Correct("tech", AT, 12, "read the wrong socket"))),
    Row("remark it: is damp", Give(c.Remark("tech", AT, "it: is damp"))),
    Row(
        "amend circuit length = 70 m seen a longer cable agreed boss",
        Give(c.Amend("tech", AT, "circuit length", "a longer cable", "70 m", "boss")),
    ),
    Row("supervisor present", Give(c.SayPresence("tech", AT, True))),
    Row("supervisor absent", Give(c.SayPresence("tech", AT, False))),
    Row("by client", Local("by", "client")),
    *(Row(word, Local(word)) for word in ("look", "list", "path", "why", "clear", "help", "leave")),
)


@pytest.mark.parametrize("row", ROWS, ids=lambda r: r.line or "empty")
def test_a_line_gives(base: Situation, row: Row) -> None:
    """Each form of the grammar gives its command, its places or its local act, with the words as they were typed."""
    assert parse_line(row.line, around(base)) == row.expect


REFUSED = (
    ("ring-one/read: done", "the walk stands at “ring-two/read”. Nothing was taken"),
    ("ring-two/null: 0.01", "the walk stands at “ring-two/read”"),
    ("0.22", "names its step"),
    ("done", "names its step"),
    (f"{HERE} S3 ohm: 1", "no place “S3 ohm”"),
    (f"{HERE} S1: 1", "names 2 places"),
    (f"{HERE} ohm: 1", "names 2 places"),
    (f"{HERE} S1 length: 1", "no place"),
    (f"{HERE} length: 1", "no place"),
    (f"{HERE}: 0.22", "has 5 places and the line 1"),
    (f"{HERE}: 1;2;3;4;5;6", "has 5 places and the line 6"),
    (f"{HERE} S1 plug: maybe", "not one of the states"),
    (f"{HERE} S1 plug: 4", "not one of the states"),
    (f"{HERE} S1 plug: 0", "not one of the states"),
    (f"{HERE} S1 ohm:", "still empty"),
    (f"{HERE}: ;;;;", "still empty"),
    ("sign one", "is written like this: sign HOLD as ROLE"),
    ("stop becuase of rain", "is written like this: stop"),
    ("remark", "is written like this: remark"),
    ("correct twelve because x", "is written like this: correct"),
    ("settle pass because fine", "names its step"),
    ("not applicable because none", "names its step"),
    ("x" * (LINE_MAX + 1), f"at most {LINE_MAX}"),
)


@pytest.mark.parametrize(("line", "says"), REFUSED, ids=lambda x: x[:30])
def test_a_line_is_refused_with_its_reason(base: Situation, line: str, says: str) -> None:
    """A line that fits no form, or another step, is not taken, and the sentence says why."""
    with pytest.raises(LineError, match=re.escape(says)):
        parse_line(line, around(base))


def test_a_decision_names_its_step_and_is_taken_only_while_one_is_wanted(base: Situation) -> None:
    """`settle` is a decision while a doubtful answer waits, and no command at any other time."""
    line = f"{HERE}: settle again because the clip slipped"
    pending = around(base, pending=Pending(HERE, 4, "conditional-fail", alone=True))

    assert parse_line(line, pending) == Give(c.Settle("tech", AT, HERE, "again", "the clip slipped"))
    with pytest.raises(LineError):
        parse_line(line, around(base))


def test_a_step_without_places_is_answered_with_done_only(base: Situation) -> None:
    """`done` answers a step with nothing to type; any other word there is refused."""
    plain = around(base, (), kind="do", is_round=False)

    assert parse_line(f"{HERE}: Done", plain) == Fill(())
    with pytest.raises(LineError, match="answered with “done”"):
        parse_line(f"{HERE}: yes", plain)


def test_one_place_takes_the_whole_line(base: Situation) -> None:
    """Where a step asks for one thing, `;` belongs to the words."""
    one = around(base, (cell("", "note", "words"),))

    assert parse_line(f"{HERE}: a; b: c", one) == filled(("", "note", c.WORDS, "a; b: c"))


def test_a_hold_point_is_not_answered(base: Situation) -> None:
    """An answer at a hold point is refused with the form of a signature."""
    with pytest.raises(LineError, match="sign HOLD as ROLE by PERSON"):
        parse_line(f"{HERE}: done", around(base, (), kind="hold", is_round=False))


def test_without_a_step_an_answer_is_refused_and_a_remark_is_not(base: Situation) -> None:
    """When the walk stands nowhere, only what needs no step is taken."""
    nowhere = replace(around(base), situation=replace(base, step=None, why_here="The log is closed."), open_places=())

    with pytest.raises(LineError, match="The log is closed"):
        parse_line(f"{HERE}: done", nowhere)
    assert parse_line("remark done", nowhere) == Give(c.Remark("tech", AT, "done"))


TERMINAL = (
    Row("0.22", filled(("S1", "ohm", c.NUMBER, "0.22"))),
    Row("above", filled(("S1", "ohm", c.ABOVE, ""))),
    Row("start", Give(c.StampRound("tech", AT, HERE, "start"))),
    Row("stop", Give(c.StopWork("tech", AT, ""))),
    Row("settle pass because fine", Give(c.Settle("tech", AT, HERE, "pass", "fine"))),
    Row("not applicable because none", Give(c.NotApplicable("tech", AT, HERE, "none"))),
)


@pytest.mark.parametrize("row", TERMINAL, ids=lambda r: r.line)
def test_on_a_terminal_the_name_may_be_left_out(base: Situation, row: Row) -> None:
    """A person at a terminal answers the next open place without naming it."""
    assert parse_line(row.line, around(base, script=False)) == row.expect


def test_a_state_called_like_a_command_is_an_answer(base: Situation) -> None:
    """On a terminal the words of a state of the open place are an answer before they are a command."""
    one = around(base, (cell("", "way", "state", ("back", "stop")),), script=False)

    assert parse_line("back", one) == filled(("", "way", c.SEEN, "back"))
    assert parse_line("stop because of rain", one) == Give(c.StopWork("tech", AT, "of rain"))


@settings(max_examples=400, deadline=None)
@given(text=st.one_of(st.text(max_size=60), st.from_regex(r"[a-z-]{1,8}/[a-z]{1,6}( S1)?( ohm)?: ?.{0,20}")))
@pytest.mark.parametrize("script", [True, False])
def test_any_text_gives_a_value_or_a_sentence(base: Situation, text: str, *, script: bool) -> None:
    """Whatever is typed comes to a command, places, a local act, nothing, or a refusal; never to another error."""
    try:
        found: object = parse_line(text, around(base, script=script))
    except LineError as error:
        found = str(error)

    assert found is None or isinstance(found, Give | Fill | Local) or (isinstance(found, str) and found.endswith("."))


def test_the_help_holds_every_form() -> None:
    """`help` shows each command's form, so that none has to be known by heart."""
    text = grammar_text()

    assert all(form in text and words in text for form, words in COMMAND_FORMS)
