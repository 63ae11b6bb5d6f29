"""The walk by keys: a whole job, refused and critical steps, questions beside the step, stopping from anywhere."""

from __future__ import annotations

from dataclasses import replace
from itertools import pairwise

import pytest
from textual import events

from ferrule.engine.procedure.compiled import Job, Warned
from ferrule.engine.walk import commands as c
from ferrule.engine.walk.evolve import start
from ferrule.tui.screens.panes import Bounce
from ferrule.tui.widgets.sheet import Sheet
from tests.tui.fakes import FakeSession, app_of, screen_of, text_of
from tests.tui.keys import healthy_keys, press, walk_of
from tests.tui.small_job import at, doubtful


async def test_whole_job_by_keys(job: Job) -> None:
    """The reference job is walked from card to closed log by keys alone, and no sound step has to be turned.

    Shows: HI-01, HI-02, HI-13.
    """
    turned: list[str] = []
    session = FakeSession(job, start(job, "tech"), now_ms=0)
    app = app_of(session)
    async with app.run_test(size=(80, 24)) as pilot:
        screen = walk_of(app)
        for _ in range(200):
            if session.state.outcome:
                break
            keys = healthy_keys(session)
            screen.situation = session.situation()
            await pilot.pause()
            before = session.state.entries
            turned += [session.state.step] if "PageDown: more" in text_of(app) else []
            for key in keys:
                await press(app, screen._digit if key == "confirm" else key)
                session.clock_ms += 200
            assert session.state.entries > before, f"{session.state.step}: {keys}\n{text_of(app)}"
        await pilot.pause()
        end = text_of(app)

    assert session.state.outcome == "complete"
    assert turned == []
    assert set(session.refused) <= {"indicator-lapsed"}
    assert "The log is closed: complete." in end


async def test_critical_step_needs_the_digit(tiny: Job) -> None:
    """Enter and space do nothing where an act cannot be taken back; the digit shown confirms. Shows: HI-10."""
    session = FakeSession(tiny, at(tiny, "danger"))
    app = app_of(session)
    async with app.run_test(size=(80, 24)):
        await press(app, "enter", "space", "enter")
        assert not session.given

        digit = walk_of(app)._digit
        assert f"Press {digit} to" in text_of(app)
        await press(app, str(int(digit) % 9 + 1))
        assert not session.given

        await press(app, digit)

    assert [type(x) for x in session.given] == [c.Answer]


async def test_digit_differs_from_one_entry_to_the_next(tiny: Job) -> None:
    """The digit that confirms is not the same twice in a row. Shows: SP-11."""
    digits = []
    for entries in range(20):
        session = FakeSession(tiny, at(tiny, "danger", entries=entries))
        digits.append(screen_of(session)._digit)

    assert all(a != b for a, b in pairwise(digits))
    assert set(digits) <= set("123456789")


async def test_key_held_down_counts_once(tiny: Job) -> None:
    """A key struck twice at once, or held down, confirms one step only. Shows: HI-02, SP-11."""
    session = FakeSession(tiny, at(tiny, "payload"))
    app = app_of(session)
    async with app.run_test(size=(80, 24)) as pilot:
        await pilot.pause()
        walk_of(app)._bounce = Bounce(0.5)
        await press(app, *["enter"] * 10)

    assert len(session.given) == 1


async def test_expected_value_is_hidden_until_entry(tiny: Job) -> None:
    """A hidden step shows no limit before the reading and the verdict's numbers after it. Shows: SP-08, WB-01."""
    session = FakeSession(tiny, at(tiny, "measure"))
    app = app_of(session)
    async with app.run_test(size=(80, 24)) as pilot:
        await pilot.pause()
        before = text_of(app)
        await press(app, "5", "enter")
        await pilot.pause()
        after = text_of(app)

    assert "limit" not in before
    assert "Passes" not in before
    assert "FAIL x" in after
    assert "limit up to 0.01 Ω, outside by 4.99 Ω: fail" in " ".join(after.split())


async def test_malformed_reading_is_blocked_on_screen(tiny: Job) -> None:
    """A malformed reading is not given to the walk; reason and caret are shown and the text stays. Shows: HI-06."""
    session = FakeSession(tiny, at(tiny, "measure"))
    app = app_of(session)
    async with app.run_test(size=(80, 24)) as pilot:
        await press(app, "0", ",", "2", "enter")
        await pilot.pause()
        blocked = text_of(app)
        assert not session.given
        await press(app, "backspace", ".", "enter")

    assert "NOT TAKEN" in blocked
    assert "   0,2" in blocked
    assert [a.cells[0].entered for a in session.given if isinstance(a, c.Answer)] == ["0.2"]


async def test_markup_is_shown_literally(tiny: Job) -> None:
    """Square brackets in a text are text, also in remarks and reasons."""
    session = FakeSession(tiny, at(tiny, "payload"))
    app = app_of(session)
    async with app.run_test(size=(80, 24)) as pilot:
        await press(app, "f4", *"[b]x[/] [x]", "enter")
        await pilot.pause()
        step = text_of(app)
        await press(app, "f5")
        await pilot.pause()
        why = text_of(app)

    assert "> NOW     Set [b]x[/] and [x] beside [L-N]." in step
    assert "[b]x[/] [x]" in step.split("NOW")[1].split("\n", 1)[1]
    assert "[red]why[/red]" in why


async def test_hidden_characters_are_made_visible(tiny: Job) -> None:
    """A pasted control character never reaches the terminal, and the walk refuses it by name."""
    session = FakeSession(tiny, at(tiny, "do"))
    app = app_of(session)
    async with app.run_test(size=(80, 24)) as pilot:
        await press(app, "f4")
        walk_of(app).on_paste(events.Paste("a\x1b[2Jb\nsecond line"))
        await pilot.pause()
        typed = text_of(app)
        await press(app, "enter")
        await pilot.pause()
        refused = text_of(app)

    assert "a<U+001B>[2Jb_" in typed
    assert "second line" not in typed
    assert "Character 2 is U+001B" in refused
    assert not session.given


OPENERS: dict[str, tuple[str, ...]] = {
    "step": (),
    "help": ("f1",),
    "list": ("f2",),
    "path": ("f3",),
    "remark": ("f4", "a"),
    "why": ("f5",),
    "far": ("f6",),
    "not applicable": ("f11", "7", "enter"),
    "report": ("f7",),
    "report, note": ("f7", "3", "enter"),
    "more": ("f11",),
    "end": ("f11", "2", "enter"),
    "amend": ("f11", "4", "enter"),
    "amend, seen": ("f11", "4", "enter", "enter"),
}


@pytest.mark.parametrize("name", OPENERS)
async def test_stop_is_one_key_from_every_screen(tiny: Job, name: str) -> None:
    """F12 stops work at once from every screen and dialog, without a question before. Shows: HI-16, DV-05."""
    session = FakeSession(tiny, at(tiny, "do"))
    app = app_of(session)
    async with app.run_test(size=(80, 24)):
        await press(app, *OPENERS[name])
        before = list(session.given)
        await press(app, "f12")

    assert not before
    assert [type(x) for x in session.given] == [c.StopWork]
    assert session.state.facts["work"] == "stopped"


async def test_stop_is_one_key_while_the_board_is_left(tiny: Job) -> None:
    """F12 stops work also for somebody who has said to be away. Shows: HI-16, DV-05."""
    session = FakeSession(tiny, at(tiny, "do"))
    app = app_of(session)
    async with app.run_test(size=(80, 24)):
        await press(app, "f8", "f12")

    assert [type(x) for x in session.given] == [c.StepAway, c.StopWork]


async def test_letter_stops_where_nothing_is_typed(tiny: Job) -> None:
    """The stop letter stops from the step and from lists, and is text where text is typed."""
    for keys, stops in (((), True), (("f1",), True), (("f2",), True), (("f4",), False)):
        session = FakeSession(tiny, at(tiny, "do"))
        app = app_of(session)
        async with app.run_test(size=(80, 24)):
            await press(app, *keys, "!")

        assert bool(session.given) == stops, keys


async def test_reason_of_a_stop_is_added_after_it(tiny: Job) -> None:
    """Work is stopped first; the reason is a remark behind it, and going on asks for a reason of its own."""
    session = FakeSession(tiny, at(tiny, "do"))
    app = app_of(session)
    async with app.run_test(size=(80, 24)):
        await press(app, "f12", *"slip", "enter")
        await press(app, "f11", "2", "enter", *"cleared", "enter")

    assert [type(x) for x in session.given] == [c.StopWork, c.Remark, c.CarryOn]
    assert session.state.facts["work"] == "going"


async def test_an_end_is_picked_from_a_list(tiny: Job) -> None:
    """The ends stand in one list, each with what it does; one that is shut says so, and picking it gives its reason."""
    session = FakeSession(tiny, at(tiny, "do"))
    app = app_of(session)
    async with app.run_test(size=(120, 36)) as pilot:
        await press(app, "f11", "2", "enter")
        await pilot.pause()
        listed = text_of(app)
        await press(app, "2", "enter", *"dark", "enter")

    assert "to be continued" in listed
    assert "shut now. The old device goes back into the way" in listed
    assert [(type(x), x.end, x.reason) for x in session.given] == [(c.EndAs, "made safe", "dark")]
    assert session.state.facts["work"] == "stopped"


async def test_typed_values_outlast_other_screens(tiny: Job) -> None:
    """What is typed at a step is still there after the list, a remark and a change of theme. Shows: HI-11, HI-04."""
    session = FakeSession(tiny, at(tiny, "round"))
    app = app_of(session)
    async with app.run_test(size=(80, 24)) as pilot:
        await press(app, "enter", "enter", "0", ".", "2", "enter", "0", ".")
        await press(app, "f2", "escape", "f4", "a", "b", "c", "enter", "f9")
        await pilot.pause()
        kept = text_of(app)

    assert "0.2 Ω" in kept
    assert "[0._] Ω" in kept


async def test_leaving_with_typed_values_asks(tiny: Job) -> None:
    """F10 leaves at once when nothing is typed; else it names what would be lost, and staying comes first."""
    for keys, ended in (((), True), (("0", ".", "2"), False)):
        session = FakeSession(tiny, at(tiny, "measure"))
        app = app_of(session)
        async with app.run_test(size=(80, 24)) as pilot:
            await press(app, *keys, "f10")
            await pilot.pause()
            if not ended:
                assert "> 1  Stay at the step" in text_of(app)
                await press(app, "2", "enter")

        assert app.return_value == 0


async def test_hold_point_is_signed_by_the_person_marked(tiny: Job) -> None:
    """Nothing is marked to begin with; a digit marks who signs, and Enter signs in that role. Shows: VR-06."""
    session = FakeSession(tiny, at(tiny, "hold"))
    app = app_of(session)
    async with app.run_test(size=(80, 24)):
        await press(app, "enter")
        assert not session.given
        await press(app, "1", "enter")

    assert [(x.hold, x.role, x.person) for x in session.given if isinstance(x, c.Sign)] == [
        ("four", "designer", "tech")
    ]


async def test_hold_point_by_telephone_keeps_the_words(tiny: Job) -> None:
    """By telephone the words that were read back are asked for and kept. Shows: VR-06."""
    session = FakeSession(tiny, at(tiny, "hold"))
    app = app_of(session)
    async with app.run_test(size=(80, 24)):
        await press(app, "2", "enter", *"as read", "enter")

    assert [x.telephone for x in session.given if isinstance(x, c.Sign)] == ["as read"]


async def test_doubtful_answer_is_settled_with_a_reason(tiny: Job) -> None:
    """A decision names who decides and why; without a reason it is not given. Shows: WB-05."""
    session = FakeSession(tiny, doubtful(tiny))
    app = app_of(session)
    async with app.run_test(size=(80, 24)) as pilot:
        await press(app, "3", "enter", "enter")
        await pilot.pause()
        assert "Nothing was typed yet." in text_of(app)
        await press(app, *"probe slipped", "enter")

    assert [(x.decision, x.reason) for x in session.given if isinstance(x, c.Settle)] == [("again", "probe slipped")]


async def test_refused_text_stays_for_another_try(tiny: Job) -> None:
    """A reason that the walk does not take stays in its field, with the sentence why. Shows: HI-11."""
    session = FakeSession(tiny, at(tiny, "do"))
    app = app_of(session)
    async with app.run_test(size=(80, 24)) as pilot:
        await press(app, "f11", "7", "enter", "n", "o", "enter")
        await pilot.pause()
        refused = text_of(app)
        await press(app, *" need", "enter")

    assert "[ no_ ]" in refused
    assert "NOT TAKEN: Give the reason" in refused
    assert [x.reason for x in session.given if isinstance(x, c.NotApplicable)] == ["no need"]


async def test_report_of_an_object(tiny: Job) -> None:
    """What happened is chosen, then to which, then what was seen."""
    session = FakeSession(tiny, at(tiny, "do"))
    app = app_of(session)
    async with app.run_test(size=(80, 24)):
        await press(app, "f7", "1", "enter", "2", "enter", *"key gone", "enter")

    second = tiny.objects["source"][1]
    assert [(x.what, x.of, x.note) for x in session.given if isinstance(x, c.Report)] == [
        ("lock or key lost", second, "key gone")
    ]


async def test_away_and_back(tiny: Job) -> None:
    """One key marks as away, the same key as back; nothing is answered meanwhile. Shows: IR-05."""
    session = FakeSession(tiny, at(tiny, "do"))
    app = app_of(session)
    async with app.run_test(size=(80, 24)):
        await press(app, "f8", "enter", "space", "f8")

    assert [type(x) for x in session.given] == [c.StepAway, c.ComeBack]


async def test_disk_that_refuses_is_said_and_nothing_moves(tiny: Job) -> None:
    """When the disk refuses, the sentence is shown, the step stays and leaving is offered. Shows: IR-10."""
    session = FakeSession(tiny, at(tiny, "do"))
    app = app_of(session)
    async with app.run_test(size=(80, 24)) as pilot:
        session.broken = True
        await press(app, "enter")
        await pilot.pause()
        said = text_of(app)
        await press(app, "escape")
        await pilot.pause()
        back = text_of(app)

    assert "The disk is full" in said
    assert "F10 leaves" in said
    assert session.state.step == "small/do"
    assert "> NOW     Lay the tools out." in back


async def test_too_small_a_window_keeps_the_walk(tiny: Job) -> None:
    """Below 60 by 20 the screen says so; stop still works, and the walk is back with the room. Shows: HI-13."""
    session = FakeSession(tiny, at(tiny, "measure"))
    app = app_of(session)
    async with app.run_test(size=(80, 24)) as pilot:
        await press(app, "0", ".", "2")
        await pilot.resize_terminal(50, 18)
        await pilot.pause()
        small = text_of(app)
        await press(app, "5")
        await pilot.resize_terminal(60, 20)
        await pilot.pause()
        least = text_of(app)

    assert "too small: 50 by 18" in small
    assert "[ 0.2_ ]" in least
    assert "> NOW     Line to neutral." in least
    assert least.rstrip().endswith("STOP")


async def test_warning_is_read_to_its_end_first(tiny: Job) -> None:
    """Where a warning does not fit, nothing is confirmed before its end was in sight. Shows: SP-01."""
    procedure = tiny.procedures["small"]
    long = tuple(Warned("warning", f"Hazard {n} of this place", "It can hurt badly " * 4, "Keep out") for n in range(9))
    steps = tuple(replace(s, warnings=long) if s.id == "do" else s for s in procedure.steps)
    session = FakeSession(replace(tiny, procedures={"small": replace(procedure, steps=steps)}), at(tiny, "do"))
    app = app_of(session)
    async with app.run_test(size=(80, 24)) as pilot:
        await pilot.pause()
        await press(app, "enter")
        await pilot.pause()
        assert not session.given
        assert "Read the warning to its end first" in text_of(app)
        for _ in range(6):
            await press(app, "pagedown")
        await pilot.pause()
        assert "Hazard 8 of this place" in text_of(app)
        await press(app, "enter")

    assert [type(x) for x in session.given] == [c.Answer]


async def test_gate_that_shut_meanwhile_says_why_and_where_next(tiny: Job) -> None:
    """A step whose gate shuts under the hand is refused with the reason, kept, and shown as shut. Shows: WB-04."""
    session = FakeSession(tiny, at(tiny, "hold"))
    app = app_of(session)
    async with app.run_test(size=(80, 24)) as pilot:
        await press(app, "1")
        session.state = replace(session.state, facts={**session.state.facts, "check:device in hand": "open"})
        await press(app, "enter")
        await pilot.pause()
        shown = " ".join(text_of(app).split())

    assert session.refused == ["gate"]
    assert "SHUT: this step waits for - device in hand: wanted looked at" in shown
    assert "Not taken: “Sign that the work may begin.” is shut" in shown
    assert not session.state.signed


async def test_lone_second_look_is_called_a_self_check(tiny: Job) -> None:
    """Working alone, the second look is named a self-check and never independent. Shows: VR-01."""
    app = app_of(FakeSession(tiny, at(tiny, "verify")))
    async with app.run_test(size=(80, 24)) as pilot:
        await pilot.pause()
        shown = " ".join(text_of(app).split())

    assert "look again yourself: a self-check, not independent" in shown


async def test_who_acts_can_be_changed(tiny: Job) -> None:
    """Every command carries a person of the card; who acts can be changed and is shown on a wide screen."""
    people = (*tiny.card.people, replace(tiny.card.people[0], id="mate", name="Clay Rib"))
    session = FakeSession(replace(tiny, card=replace(tiny.card, people=people)), at(tiny, "do"))
    app = app_of(session)
    async with app.run_test(size=(120, 36)) as pilot:
        await press(app, "f11", "5", "enter", "2", "enter")
        await pilot.pause()
        named = text_of(app)
        await press(app, "enter")

    assert "by Clay Rib" in named
    assert [x.person for x in session.given] == ["mate"]


async def test_practice_never_looks_like_work(tiny: Job) -> None:
    """Practice says so in the first word of the screen, by word and not by colour alone. Shows: TR-01, HI-05."""
    session = FakeSession(tiny, at(tiny, "do"), mode="practice")
    app = app_of(session)
    async with app.run_test(size=(80, 24)) as pilot:
        await pilot.pause()
        practice = text_of(app)

    assert practice.startswith(" PRACTICE  Replace the device")


async def test_idle_screen_draws_nothing(tiny: Job, monkeypatch: pytest.MonkeyPatch) -> None:
    """While nothing changes, drawing again asks for no painting, so that nothing is sent to the terminal."""
    session = FakeSession(tiny, at(tiny, "do"))
    app = app_of(session)
    async with app.run_test(size=(80, 24)) as pilot:
        await pilot.pause()
        touched: list[int] = []
        monkeypatch.setattr(Sheet, "refresh", lambda _sheet, *rows: touched.extend(row.y for row in rows))
        walk_of(app).draw()
        assert not touched
        session.clock_ms += 60_000
        walk_of(app).draw()
        ages = [y for y, row in enumerate(text_of(app).split("\n")) if "min ago" in row]

    assert touched == ages
    assert touched
