"""The first screen: jobs to take up again, cards to start from, a card to make, logs to walk again, procedures.

Must never: open a job itself; it says what was chosen.
"""

from __future__ import annotations

from collections.abc import Callable, Mapping, Sequence

from textual import events

from ferrule.engine.light import dataclass
from ferrule.engine.procedure.new_card import Asked
from ferrule.engine.shell.logfile import LogSummary
from ferrule.tui import screen_words, words
from ferrule.tui.bindings import JOBS_HELP
from ferrule.tui.screens.areas import page_area, question_area
from ferrule.tui.screens.card_form import Form, form_area, form_hint
from ferrule.tui.screens.frame import SheetScreen
from ferrule.tui.screens.panes import Choice, Page, Pick
from ferrule.tui.widgets.paint import Block
from ferrule.tui.widgets.text import content, cut

WALK, REPLAY = "walk", "replay"
_LOG_WIDTHS = (8, 0, 8, 16)


@dataclass(frozen=True, slots=True)
class Chosen:
    """What is to be opened: a log or a card to walk, or a log to walk again."""

    what: str
    name: str


@dataclass(frozen=True, slots=True)
class Made:
    """What became of a card: its file, or the lines that say why there is none."""

    path: str
    lines: tuple[str, ...]


@dataclass(frozen=True, slots=True)
class Offer:
    """All that can be chosen, and what is asked for only when a person looks at it."""

    logs: Sequence[LogSummary]
    own_cards: Sequence[str]
    """Files of cards of one's own."""
    examples: Sequence[str]
    left: Callable[[LogSummary], tuple[str, ...]]
    """Where and why a job was left."""
    procedures: Callable[[], Sequence[tuple[str, str]]]
    """Name and title of each procedure."""
    page: Callable[[str], tuple[str, ...]]
    """A procedure as a page."""
    asked: Callable[[str], tuple[Asked, ...]]
    """What a form from an example asks."""
    make: Callable[[str, Mapping[str, str]], Made]
    """Make a card from an example with what was said."""


class JobsScreen(SheetScreen):
    """A list of what can be done, and the lists, pages and the form behind it."""

    def __init__(self, offer: Offer) -> None:
        super().__init__()
        self._offer = offer
        self._own = list(offer.own_cards)
        self._left: dict[str, str] = {}
        self._form: Form | None = None
        self._behind: list[Pick | Page | Form] = []
        self._pane: Pick | Page | Form = self._first()
        self.chosen: Chosen | None = None

    # --- the lists ---

    def _first(self) -> Pick:
        open_logs = [log for log in self._offer.logs if log.state == "open"]
        jobs = [Choice(_row("go on", log)) for log in open_logs]
        doors: list[tuple[str, Callable[[], None]]] = [
            ("Start a job from a card", lambda: self._go(self._cards())),
            ("Make a card", self._make),
            ("Walk a log again, read-only", lambda: self._go(self._logs())),
            ("Procedures", lambda: self._go(self._procedures())),
        ]
        choices = [*jobs, *(Choice(("", title, "", "")) for title, _ in doors)]
        intro = () if jobs else (screen_words.NO_JOBS,)

        def picked(at: int) -> None:
            if at < len(open_logs):
                self._choose(WALK, open_logs[at].job_id)
            else:
                doors[at - len(open_logs)][1]()

        return Pick("Jobs", intro, choices, picked, _LOG_WIDTHS)

    def _cards(self) -> Pick:
        names = [*self._own, *self._offer.examples]
        choices = [Choice((_stem(path), "a card of your own")) for path in self._own]
        choices += [Choice((name, "example")) for name in self._offer.examples]
        return Pick("Start a job from a card", (), choices, lambda at: self._choose(WALK, names[at]), (40, 0))

    def _make(self) -> None:
        """Ask from which example; a form that was begun goes on."""
        begun = self._form

        def picked(at: int) -> None:
            if begun is None or at > 0:
                example = self._offer.examples[at - (begun is not None)]
                self._form = Form(example, self._offer.asked(example))
            assert self._form is not None
            self._go(self._form)

        choices = [Choice((f"Go on with the form from {begun.example}",))] if begun is not None else []
        choices += [Choice((name,)) for name in self._offer.examples]
        intro = ("The form asks what differs from site to site; the rest is taken over from the example.",)
        self._go(Pick("Which example is most like the job?", intro, choices, picked))

    def _logs(self) -> Pick:
        logs = [log for log in self._offer.logs if log.state in ("open", "closed")]
        choices = [Choice(_row(log.outcome or log.state, log)) for log in logs]
        intro = () if logs else ("There is no log here.",)
        widths = (16, 0, 8, 16)
        return Pick(
            "Walk a log again", intro, choices, lambda at: self._choose(REPLAY, logs[at].job_id), widths, numbered=False
        )

    def _procedures(self) -> Pick:
        found = self._offer.procedures()
        choices = [Choice((title, name)) for name, title in found]

        def picked(at: int) -> None:
            self._go(Page(found[at][1], self._offer.page(found[at][0])))

        return Pick("Procedures", (), choices, picked, (48, 0), numbered=False)

    # --- moving between them ---

    def _go(self, pane: Pick | Page | Form) -> None:
        self._behind.append(self._pane)
        self._pane = pane
        self.reach.home()
        self.draw()

    def _back(self) -> None:
        if not self._behind:
            self.app.exit("")
            return
        self._pane = self._behind.pop()
        self.draw()

    def _choose(self, what: str, name: str) -> None:
        self.chosen = Chosen(what, name)
        self.app.exit("")

    def _write(self, form: Form) -> None:
        """Have the card checked and written; what cannot be is told, and everything typed stays."""
        made = self._offer.make(form.example, form.said())
        if made.path:
            self._own.append(made.path)
            self._form = None
            self._behind = self._behind[:1]
            self._pane = self._cards()
        title = "The card was written" if made.path else "The card was not written"
        self._go(Page(title, made.lines))

    # --- keys ---

    def on_key(self, event: events.Key) -> None:
        """Move, choose, type or leave."""
        event.stop()
        event.prevent_default()
        char, pane = event.character or "", self._pane
        if event.key == "f10":
            self.app.exit("")
        elif self.too_small:
            return
        elif event.key == "escape":
            self._back()
        elif event.key == "f1":
            self._go(Page("Keys", screen_words.answer_lines(JOBS_HELP)))
        elif event.key == "f9":
            self.app.action_next_theme()  # type: ignore[attr-defined]
        elif isinstance(pane, Form):
            self._form_key(pane, event.key, char)
        elif isinstance(pane, Page):
            if event.key in ("enter", "space"):
                self._back()
            elif self.reach.turn(event.key):
                self.draw()
        elif pane.key(event.key, char):
            self.draw()
        elif char == "q":
            self.app.exit("")
        elif char == "t":
            self.app.action_next_theme()  # type: ignore[attr-defined]
        elif char == "?":
            self._go(Page("Keys", screen_words.answer_lines(JOBS_HELP)))

    def _form_key(self, form: Form, name: str, char: str) -> None:
        if form.here is None and name == "enter":
            self._write(form)
        elif form.key(name, char):
            self.draw()

    def on_paste(self, event: events.Paste) -> None:
        """Take pasted text into the form; its first line only."""
        if isinstance(self._pane, Form):
            self._pane.paste(event.text.split("\n")[0])
            self.draw()

    # --- drawing ---

    def put_all(self, *, follow: bool) -> None:
        """Show what is open."""
        cells, pane = self.room.width, self._pane
        head = Block("head", "head", content((" ferrule", "bold"), "\n", cut(screen_words.WHAT_IT_IS, cells)))
        if isinstance(pane, Page):
            area, hint = page_area(pane), screen_words.JOBS_PAGE_HINT
        elif isinstance(pane, Form):
            area, hint = form_area(pane, cells), form_hint(pane)
        else:
            area, hint = question_area(self._told(pane), cells), screen_words.JOBS_HINT
        self.put((head,), area, (), lambda: hint, screen_words.JOBS_KEYS, follow=follow)

    def _told(self, pick: Pick) -> Pick:
        """Return the list with where and why the marked job was left, which is worked out when it is marked."""
        open_logs = [log for log in self._offer.logs if log.state == "open"]
        if pick.title != "Jobs" or pick.at >= len(open_logs):
            return pick
        log = open_logs[pick.at]
        if log.job_id not in self._left:
            self._left[log.job_id] = "\n".join((f"{log.job_id}", *self._offer.left(log)))
        marked = Choice(pick.choices[pick.at].columns, self._left[log.job_id])
        pick.choices = [*pick.choices[: pick.at], marked, *pick.choices[pick.at + 1 :]]
        return pick


def _row(word: str, log: LogSummary) -> tuple[str, ...]:
    return (word, log.title, words.MODE_WORDS.get(log.mode, ""), log.last_wall[:16].replace("T", " "))


def _stem(path: str) -> str:
    return path.replace("\\", "/").rpartition("/")[2].removesuffix(".yaml")
