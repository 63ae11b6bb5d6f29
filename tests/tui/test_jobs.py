"""The first screen: what can be taken up, started, made, walked again and read; nothing typed is lost on the way."""

from __future__ import annotations

from collections.abc import Mapping
from pathlib import Path

import pytest
from textual.pilot import Pilot

from ferrule.engine.procedure.new_card import Asked, asked_of
from ferrule.engine.shell.calls import SYSTEM_CALLS
from ferrule.engine.shell.cards import example_card
from ferrule.engine.shell.folders import Folders, find_folders
from ferrule.engine.shell.logfile import LogSummary
from ferrule.engine.shell.session import WORK, Session
from ferrule.engine.shell.sets import example_cards, find_job
from ferrule.engine.walk import commands as c
from ferrule.tui.app import FerruleApp
from ferrule.tui.jobs_offer import offer_of
from ferrule.tui.left_words import left_lines
from ferrule.tui.screens.jobs import REPLAY, WALK, Chosen, JobsScreen, Made, Offer
from tests.support.fakeclock import FakeClock
from tests.support.jobs import REFERENCE
from tests.tui.fakes import text_of
from tests.tui.shots import SMALL, files_of, hold

ASKED = (
    Asked("card", "Job", "Short name", "id", "kiln-way-4"),
    Asked("line", "Circuit", "Size", "amount", "2.5", "mm2"),
    Asked("curve", "Device", "Curve", "choice", "B", choices=("B", "C")),
)


def _log(name: str, state: str = "open") -> LogSummary:
    return LogSummary(Path(f"{name}.jsonl"), name, f"Title of {name}", "work", state, "", "2026-11-25T08:30:46+00:00")


class Maker:
    """Takes what a form says; refuses the first time if asked to."""

    def __init__(self, *, refuse: bool = False) -> None:
        self.said: list[Mapping[str, str]] = []
        self._refuse = refuse

    def make(self, _example: str, said: Mapping[str, str]) -> Made:
        """Note what was said."""
        self.said.append(said)
        if self._refuse and len(self.said) == 1:
            return Made("", ("The board is missing.",))
        return Made(f"cards/{said['card']}.yaml", ("It was written.",))


def offer(maker: Maker | None = None, *logs: LogSummary) -> Offer:
    """Return an offer in memory."""
    return Offer(
        logs,
        ("cards/own.yaml",),
        ("example-a", "example-b"),
        lambda log: (f"Stage 3 of 9: Lock off ({log.job_id})", "Work was stopped: a wet floor."),
        lambda: [("ring-step-two", "Ring step two")],
        lambda name: (f"page of {name}",),
        lambda _: ASKED,
        (maker or Maker()).make,
    )


def app_for(given: Offer) -> FerruleApp:
    """Return the application on its first screen."""
    return FerruleApp(JobsScreen(given), {})


def chosen(app: FerruleApp) -> Chosen | None:
    """Return what was chosen on the first screen."""
    assert isinstance(app.screen, JobsScreen)
    return app.screen.chosen


async def shown_after(app: FerruleApp, pilot: Pilot[int | str], *keys: str) -> str:
    """Press keys and return the screen as text."""
    await pilot.press(*keys)
    await pilot.pause()
    return " ".join(text_of(app).split())


@pytest.mark.parametrize(
    ("keys", "wanted"),
    [
        (("enter",), Chosen(WALK, "job-a")),
        (("2", "enter"), Chosen(WALK, "job-b")),
        (("3", "enter", "enter"), Chosen(WALK, "cards/own.yaml")),
        (("3", "enter", "3", "enter"), Chosen(WALK, "example-b")),
        (("5", "enter", "down", "down", "enter"), Chosen(REPLAY, "job-c")),
        (("q",), None),
        (("escape",), None),
        (("3", "enter", "escape", "escape"), None),
    ],
)
async def test_job_is_chosen(keys: tuple[str, ...], wanted: Chosen | None) -> None:
    """Jobs to take up come first, then cards, logs to walk again; leaving chooses nothing. Shows: HI-01."""
    app = app_for(offer(None, _log("job-a"), _log("job-b"), _log("job-c", "closed")))
    async with app.run_test(size=(80, 24)) as pilot:
        await pilot.pause()
        await pilot.press(*keys)
        found = chosen(app)

    assert found == wanted


async def test_list_says_where_and_why_a_job_was_left() -> None:
    """The marked job is told with its stage and why work stopped; another mark tells another job. Shows: IR-02."""
    app = app_for(offer(None, _log("job-a"), _log("job-b")))
    async with app.run_test(size=(80, 24)) as pilot:
        first = await shown_after(app, pilot)
        second = await shown_after(app, pilot, "down")

    assert "> 1 go on Title of job-a WORK 2026-11-25 08:30" in first
    assert "Stage 3 of 9: Lock off (job-a) Work was stopped: a wet floor." in first
    assert "Lock off (job-b)" in second
    assert "(job-a)" not in second


async def test_help_and_a_small_window_lose_nothing_typed() -> None:
    """F1 opens the keys over a form and Esc goes back to it; too small a window says so and keeps it. Shows: HI-16."""
    app = app_for(offer(Maker(), _log("job-a")))
    async with app.run_test(size=(80, 24)) as pilot:
        before = await shown_after(app, pilot, "3", "enter", "enter", *"kiln")
        helped = await shown_after(app, pilot, "f1")
        await pilot.press("escape")
        await pilot.resize_terminal(50, 15)
        small = await shown_after(app, pilot, "x", "escape", "enter")
        await pilot.resize_terminal(80, 24)
        after = await shown_after(app, pilot)

    assert "[ kiln_ ]" in before
    assert "F9 changes between day, night and mono" in helped
    assert "This window is too small: 50 by 15." in small
    assert after == before


async def test_no_job_says_what_can_be_done() -> None:
    """Without a job the list says so and offers cards, a form, logs and procedures."""
    app = app_for(offer())
    async with app.run_test(size=(80, 24)) as pilot:
        shown = await shown_after(app, pilot)

    assert "No job is open" in shown
    for door in ("Start a job from a card", "Make a card", "Walk a log again", "Procedures"):
        assert door in shown


async def test_procedures_are_read_from_the_first_screen() -> None:
    """A procedure is one list away, and Esc leads back through the list."""
    app = app_for(offer())
    async with app.run_test(size=(80, 24)) as pilot:
        page = await shown_after(app, pilot, "4", "enter", "enter")
        back = await shown_after(app, pilot, "escape", "escape")

    assert "page of ring-step-two" in page
    assert "> 4 Procedures" in back


FORM = ("2", "enter", "enter")


async def test_form_blocks_what_cannot_stand() -> None:
    """A field is taken only when its text can stand; the reason is said and the text stays. Shows: HI-06."""
    app = app_for(offer())
    async with app.run_test(size=(80, 24)) as pilot:
        empty = await shown_after(app, pilot, *FORM, "enter")
        capital = await shown_after(app, pilot, "K", "enter")
        amount = await shown_after(app, pilot, "backspace", "k", "enter", "2", "full_stop", "full_stop", "5", "enter")

    assert "NOT TAKEN: The field is still empty." in empty
    assert "NOT TAKEN: Write small letters" in capital
    assert "[ K_ ]" in capital
    assert "NOT TAKEN:" in amount
    assert "mm²" in amount


async def test_form_keeps_what_is_typed_while_other_screens_are_open() -> None:
    """Esc, another list and a change of theme lose nothing of a form that was begun. Shows: HI-11."""
    app = app_for(offer())
    async with app.run_test(size=(80, 24)) as pilot:
        await pilot.press(*FORM, *"kiln", "enter", "2", "full_stop")
        await pilot.press("escape", "escape", "4", "enter", "escape", "f9")
        again = await shown_after(app, pilot, "2", "enter", "1", "enter")

    assert "Short name kiln" in again
    assert "[ 2._ ] mm²" in again


async def test_form_writes_a_card_that_can_be_started() -> None:
    """What was typed is handed over whole; the card then stands in the list of cards."""
    maker = Maker(refuse=True)
    app = app_for(offer(maker))
    async with app.run_test(size=(80, 24)) as pilot:
        ready = await shown_after(app, pilot, *FORM, *"kiln", "enter", *"25", "enter", "2", "enter")
        refused = await shown_after(app, pilot, "enter")
        kept = await shown_after(app, pilot, "escape")
        written = await shown_after(app, pilot, "enter")
        cards = await shown_after(app, pilot, "escape")
        await pilot.press("2", "enter")
        found = chosen(app)

    assert "All is said." in ready
    assert "The card was not written The board is missing." in refused
    assert "3 of 3 filled" in kept
    assert "The card was written It was written." in written
    assert "kiln a card of your own" in cards
    assert maker.said == [{"card": "kiln", "line": "25", "curve": "C"}] * 2
    assert found == Chosen(WALK, "cards/kiln.yaml")


GOLDEN = Path(__file__).parent / "golden_jobs"
SCREENS: dict[str, tuple[str, ...]] = {
    "list": (),
    "cards": ("3", "enter"),
    "logs": ("5", "enter"),
    "form-begun": ("4", "enter", "enter", *"kiln", "enter", "2", "full_stop", "full_stop", "enter"),
    "form-choice": ("4", "enter", "enter", *"kiln", "enter", *"25", "enter"),
    "form-said": ("4", "enter", "enter", *"kiln", "enter", *"25", "enter", "2", "enter"),
    "card-refused": ("4", "enter", "enter", *"kiln", "enter", *"25", "enter", "2", "enter", "enter"),
    "procedures": ("6", "enter"),
    "procedure": ("6", "enter", "enter"),
    "keys": ("f1",),
}


@pytest.mark.parametrize("name", SCREENS)
async def test_screen_is_as_it_was_read(name: str) -> None:
    """Each list, page and form shows what its files show, whole, at each size and theme. Shows: HI-03, HI-05, HI-13."""
    app = app_for(offer(Maker(refuse=True), _log("job-a"), _log("job-b"), _log("job-c", "closed")))
    async with app.run_test(size=SMALL) as pilot:
        await pilot.pause()
        await pilot.press(*SCREENS[name])
        await pilot.pause()
        await hold(app, pilot, GOLDEN, name)


def test_every_screen_has_its_files() -> None:
    """No file is left behind by a screen that is gone."""
    there, wanted = files_of(GOLDEN, SCREENS)

    assert there == wanted


@pytest.fixture
def opened(home: Path) -> tuple[Folders, Path]:
    """A log of the reference job in which work was stopped."""
    folders = find_folders(home)
    session = Session.open_new(
        find_job(REFERENCE, folders), folders=folders, clock=FakeClock(), mode=WORK, operator="tech"
    )
    session.submit(c.StopWork("tech", session.stamp(), "a wet floor"))
    session.close()
    return folders, session.path


def test_where_a_job_was_left_is_told_from_its_log(opened: tuple[Folders, Path]) -> None:
    """A log tells its stage, its step and why work stopped, without being changed."""
    folders, path = opened
    before = path.read_bytes()
    told = " ".join(left_lines(path, folders))

    assert "Stage 1 of" in told
    assert "Work was stopped" in told
    assert path.read_bytes() == before


def test_damaged_log_is_told_as_such(opened: tuple[Folders, Path]) -> None:
    """A log that is not whole says so in the list and takes nothing down with it."""
    folders, path = opened
    path.write_bytes(path.read_bytes().replace(b"stop", b"stap", 1))

    assert left_lines(path, folders)[0].startswith("This log cannot be told: ")


def test_offer_makes_a_card_in_the_folder_of_cards(tmp_path: Path) -> None:
    """The offer of the program itself writes a checked card, and not a second one of that name."""
    folders = find_folders(tmp_path)
    given = offer_of(folders, SYSTEM_CALLS, practice=False)
    said = {asked.key: asked.example for asked in asked_of(example_card(REFERENCE)[1])}
    made, twice = given.make(REFERENCE, said), given.make(REFERENCE, said)

    assert Path(made.path).parent == folders.cards
    assert not twice.path
    assert "something of that name is there already" in twice.lines[0]
    assert given.asked(REFERENCE)[0].key == "card"
    assert given.examples == example_cards()
    assert ("ring-step-two", "Ring step two") in given.procedures()
    assert any("Ring step two" in line for line in given.page("ring-step-two"))
    assert find_job(made.path, folders).job.card.id == said["card"]
