"""The walk's one screen: one sheet, drawn whole at each change, driven by keys alone.

Rules
1. It decides nothing: a key becomes typed text, a mark, or a command for the session.
2. Head, safety strip and key line stay in sight whatever is asked in between.
3. Enter never confirms an act that cannot be taken back, and a key held down counts once.
"""

from __future__ import annotations

import textwrap
from collections.abc import Callable
from typing import TYPE_CHECKING

from textual import events

from ferrule.engine.shell.logfile import StoreError
from ferrule.engine.shell.session import PRACTICE, Session, Taken
from ferrule.engine.walk import commands as c
from ferrule.engine.walk import events as e
from ferrule.engine.walk.situation import Situation
from ferrule.tui import screen_words, words
from ferrule.tui.bindings import BY_FUNCTION, BY_LETTER, key_line
from ferrule.tui.demand import Demand, demand_of
from ferrule.tui.screens import add_point, entry, flows, menu, stages, timing, turning
from ferrule.tui.screens.areas import page_area, question_area, step_area
from ferrule.tui.screens.beside import NOTHING, Pictures, Shown, gauge_after, gauge_lines
from ferrule.tui.screens.draft import Draft, Fault
from ferrule.tui.screens.far import far_area
from ferrule.tui.screens.frame import Frame, SheetScreen
from ferrule.tui.screens.lone import LoneClock
from ferrule.tui.screens.panes import Ask, Bounce, Page, Pick, moved_mark
from ferrule.tui.screens.reach import Reach
from ferrule.tui.widgets.paint import Block
from ferrule.tui.widgets.text import rows

if TYPE_CHECKING:
    from ferrule.tui.pictures.gauge import Gauge

TICK_S = 1.0
SLOW_TICKS = 20
"""While nothing counts down, the ages in the strip are looked at every so many ticks."""


class WalkScreen(SheetScreen):
    """One job at work."""

    def __init__(self, session: Session, person: str = "", *, bounce_s: float = 0.05) -> None:
        super().__init__()
        self.session = session
        self.person = person or session.state.operator
        self.situation: Situation = session.situation()
        self._draft = self._new_draft()
        self._mark: int | None = None
        self._pane: Pick | Ask | Page | None = None
        self._said: tuple[str, ...] = (
            session.resumed or f"Limits of this job: {self.situation.edition}.",
            *session.notes,
        )
        self._read = False
        self._at_step, self._at_pane = self.reach, Reach()
        """Which rows are in sight of the step and of a page, while the other is shown too."""
        self._bounce = Bounce(bounce_s)
        self._pictures = Pictures()
        self._far = False
        self._gauge: Gauge | None = None
        self._dropped = ""
        """That typed values are gone, until it was said at the step."""
        self._ticks = 0
        self.turned: turning.Turned | None = None
        """Set while a second person has the laptop."""
        self._lone = LoneClock(session.now_ms())
        self._lone_line = ""
        self._demanded: tuple[tuple[int, str], Demand] = ((-1, ""), Demand(""))

    def on_mount(self) -> None:
        """Draw for the first time and keep the ages fresh."""
        self.set_interval(TICK_S, self._tick)
        self.draw()

    # --- the desk that flows work at ---

    def open(self, pane: Pick | Ask | Page) -> None:
        """Show a question or a page in place of the step."""
        self._pane, self._far = pane, False
        self._said = ()
        self._at_pane = Reach()
        self.draw()

    def back(self) -> None:
        """Show the step again, with what a question in between would have hidden."""
        self._pane = None
        if self._dropped and self._dropped not in self._said:
            self._said = (*self._said, self._dropped)
        self._dropped = ""
        self.draw()

    def say(self, *lines: str) -> None:
        """Show sentences where the last verdict stands."""
        self._said = lines
        self.draw()

    def quit(self) -> None:
        """End the program; the job can be taken up again."""
        self.app.exit(0)

    def renew(self) -> None:
        """Show where the session stands now."""
        self._pane = None
        self._look_again()
        self._begin_step()
        self.draw()

    def _look_again(self) -> None:
        """Take the situation anew; a second person gets it without what the first one read."""
        found = self.session.situation()
        self.situation = found if self.turned is None else turning.without_values(found, self.session)

    def turn_to(self, person: str) -> None:
        """Show the step to a second person, without what the first one read."""
        self.turned = turning.Turned(self.person, self._pictures)
        self.person, self._pictures, self._gauge = person, Pictures(wanted=False), None
        self.renew()
        self.say(screen_words.TURNED.format(name=words.person_name(self.session.job, person)))

    def turn_back(self) -> None:
        """Show the step to the first person again; the next key is theirs."""
        assert self.turned is not None
        turned, self.turned = self.turned, None
        self.person, self._pictures = turned.first, turned.pictures
        self._look_again()
        name = words.person_name(self.session.job, self.person)
        said = (*self._said, screen_words.HAND_BACK.format(name=name))
        self.open(Page(f"Hand the laptop back to {name}", said))

    @property
    def light_screen(self) -> bool:
        """True while text is dark on light."""
        return self.theme_name == "day"

    def give(self, command: c.Command) -> Taken | None:
        """Give a command to the session, and show at the step what came of it."""
        asked, self._pane = self._pane, None
        where = self.session.state.step
        operator = self.session.state.operator
        try:
            taken = self.session.submit(command)
        except StoreError as error:
            advice = () if self.session.state.outcome else ("", screen_words.DISK_ADVICE)
            self.open(Page("The disk refused", (str(error), *advice)))
            return None
        if self.session.state.operator != operator:
            self.person = self.session.state.operator
            if self.turned is not None:
                self.turned.first = self.person
        dropped = self._draft.filled
        self._look_again()
        moved = self.session.state.step != where or any(isinstance(event, e.Moved) for event in taken.events)
        if moved or (isinstance(command, c.Answer) and taken.refusal is None):
            self._begin_step()
        else:
            self._keep_draft()
        self._tell(command, taken)
        self._said = (*self._said, *taken.notes)
        if moved and dropped and not isinstance(command, c.Answer):
            self._dropped = screen_words.DROPPED.format(count=dropped)
            self._said = (*self._said, self._dropped)
        if taken.refusal is not None and not taken.events and isinstance(asked, Ask):
            self._pane, asked.fault = asked, taken.refusal.reason
        if taken.show_code:
            menu.show_code(self)
        answered = isinstance(command, c.Answer) and taken.refusal is None
        if self.turned is not None and (moved or answered):
            self.turn_back()
        self.draw()
        return taken

    def _tell(self, command: c.Command, taken: Taken) -> None:
        said = screen_words.verdict_lines(taken.events, self.session.job, self.situation.why_here)
        refusal = taken.refusal
        self._gauge = gauge_after(taken.events, self.session.job, self.session.state)
        if refusal is None:
            self._said = said
            return
        for doubted in refusal.doubts:
            self._draft.hold(doubted.point, doubted.cell)
        if refusal.cell and isinstance(command, c.Answer):
            self._draft.point_at(refusal.point, refusal.cell, Fault(refusal.reason, refusal.column))
        self._said = (*words.refusal_lines(refusal), *said)

    # --- the step and what is typed ---

    def _new_draft(self) -> Draft:
        step = self.situation.step
        places = tuple(cell for cell in step.cells if cell.kind != "computed") if step else ()
        return Draft(self.session.job, places)

    def _begin_step(self) -> None:
        self._draft = self._new_draft()
        self._mark = None
        self._read = False
        self._at_step.home()

    def _keep_draft(self) -> None:
        """Keep what is typed; an amended card may ask for further places."""
        self._draft.carry_to(self._new_draft().places)
        self._mark = None

    def _tick(self) -> None:
        self._ticks += 1
        waiting = self.situation.step is not None and self.situation.step.wait_left_ms > 0
        self._lone_line, before = (
            self._lone.line(self.session.job, self.situation, self.session.now_ms()),
            self._lone_line,
        )
        if self._lone.rings(self._lone_line):
            self.app.bell()
        if waiting or self._lone_line != before or self._ticks % SLOW_TICKS == 0:
            earlier = self.situation
            self._look_again()
            self._said = (*self._said, *timing.ran_out(earlier, self.situation))
            self.draw()

    @property
    def _digit(self) -> str:
        """The digit that confirms; it differs from one entry to the next."""
        return self._demand.digit

    @property
    def _demand(self) -> Demand:
        """What confirms the step; worked out once for each entry."""
        key = (self.session.state.entries, self.session.state.step)
        if self._demanded[0] != key:
            self._demanded = (key, demand_of(self.session.job, self.session.state, self.situation.step))
        return self._demanded[1]

    @property
    def _look(self) -> stages.Look:
        instead = self.turned is None and self._pictures.instead(self.session.job, self.session.state, self.room)
        return stages.Look(self.session.job, self.situation, self._draft, self._mark, self._demand, instead)

    @property
    def _picture(self) -> Shown:
        if self.turned is not None:
            return NOTHING
        return self._pictures.of(self.session.job, self.session.state, self._draft, self.room)

    # --- keys ---

    async def on_key(self, event: events.Key) -> None:
        """Take every key of the screen."""
        char = event.character or ""
        event.stop()
        event.prevent_default()
        self._hear()
        if event.key in BY_FUNCTION:
            self.act(BY_FUNCTION[event.key])
        elif self.too_small:
            if char in BY_LETTER and BY_LETTER[char] in ("stop", "leave"):
                self.act(BY_LETTER[char])
        elif self._far and (self._pane is not None or event.key in ("pageup", "pagedown")):
            return
        elif self._pane is not None:
            self._pane_key(event.key, char)
        else:
            self._step_key(event.key, char)

    def _hear(self) -> None:
        """Take a key as a sign of life, whatever else it does."""
        self._lone.hear(self.session.now_ms())
        if self._lone_line:
            self._lone_line = ""
            self.draw()

    def on_paste(self, event: events.Paste) -> None:
        """Take pasted text where text is typed; its first line only."""
        text = event.text.split("\n")[0]
        if isinstance(self._pane, Ask):
            self._pane.line.put(text)
        elif self._pane is None and stages.stage_of(self.situation, self._draft) == stages.FILL:
            self._draft.paste(text)
        self.draw()

    def act(self, action: str) -> None:
        """Do what a command key stands for."""
        actions: dict[str, Callable[[], None]] = {
            "help": lambda: self.open(Page("Keys", screen_words.help_lines())),
            "list": lambda: flows.whole(self),
            "path": lambda: turning.path(self),
            "remark": lambda: flows.remark(self),
            "why": lambda: turning.why(self),
            "far": self._turn_far,
            "report": lambda: flows.report(self),
            "picture": self._turn_picture,
            "point": lambda: add_point.add_point(self),
            "away": lambda: flows.away(self),
            "theme": self.app.action_next_theme,  # type: ignore[attr-defined]
            "leave": self._leave,
            "more": lambda: menu.more(self),
            "stop": lambda: flows.stop(self),
        }
        actions[action]()

    def _leave(self) -> None:
        """Leave; where something is typed it is asked first, except in a window that could not show the question."""
        begun = self._draft.begun and not self.too_small
        flows.leave(self, self._draft.filled, len(self._draft.places), begun)

    def _pane_key(self, name: str, char: str) -> None:
        pane = self._pane
        if name == "escape":
            self.back()
        elif isinstance(pane, Page):
            if name in ("enter", "space"):
                self.back()
            elif self.reach.turn(name):
                self.draw()
            else:
                self._letter(char)
        elif pane is not None and pane.key(name, char):
            self.draw()
        elif isinstance(pane, Pick):
            self._letter(char)

    def _turn_picture(self) -> None:
        """Show or hide the picture; what is typed stays as it is."""
        if self.turned is not None:
            self.say(screen_words.HIDDEN)
        elif self._pictures.hint(self.session.job, self.session.state, self.room):
            self._pictures.turn(self.room)
            self.draw()
        elif self._pane is None:
            self.say(screen_words.NO_PICTURE)

    def _turn_far(self) -> None:
        """Show the step in large letters, or as it was; a question that is open stays open behind it."""
        self._far = not self._far
        self.draw()

    def _letter(self, char: str) -> None:
        """Do what a letter stands for, where nothing is being typed."""
        if char in BY_LETTER:
            self.act(BY_LETTER[char])

    def _step_key(self, name: str, char: str) -> None:
        stage = stages.stage_of(self.situation, self._draft)
        if name in ("pageup", "pagedown"):
            self.reach.turn(name)
            self.draw()
            return
        if stage in (stages.FILL, stages.READY) and turning.is_wanted(self) and self._answers(name, char):
            turning.hand_over(self)
            return
        if self._confirming(stage, name, char) and self._bounce.is_repeat(name):
            return
        if stage == stages.FILL and name != "up" and self._typed(name, char):
            return
        if stage in (stages.FILL, stages.READY) and name in ("up", "down"):
            self._draft.key(name, char)
            self._follow()
        elif stage in (stages.PENDING, stages.HOLD):
            self._mark_key(stage, name, char)
        elif stage == stages.READY and self._confirms(name, char):
            self._record()
        elif stage in (stages.START, stages.RUNNING) and name in ("enter", "space"):
            self._stamp("start" if stage == stages.START else "end")
        else:
            self._letter(char)

    @staticmethod
    def _answers(name: str, char: str) -> bool:
        """True for a key that would begin an answer, and is no command."""
        return name in ("enter", "space") or (bool(char) and char not in BY_LETTER)

    def _typed(self, name: str, char: str) -> bool:
        """Take a key into the place with the cursor; True when it belonged there."""
        only_one = len(self._draft.places) == 1
        if not self._draft.key(name, char):
            return False
        step = self.situation.step
        if self._draft.ready and only_one and step is not None and not step.critical and name == "enter":
            self._record()
        else:
            self._follow()
        return True

    def _follow(self) -> None:
        """Draw with what is typed in sight, once the warnings were read."""
        if not self._far:
            self._read = self._read or self._warnings_in_sight
        self.draw(follow=self._read and not self._far)

    @property
    def _warnings_in_sight(self) -> bool:
        """True when the warnings were in sight to their end (SP-01)."""
        return self.ends_in_sight("warnings")

    def _confirming(self, stage: str, name: str, char: str) -> bool:
        """True for a key that records something or goes on by itself."""
        place = self._draft.here
        choosing = stage == stages.FILL and place is not None and (place.kind == "state" or char in "+-*/")
        return name in ("enter", "space") or stage in (stages.READY, stages.PENDING, stages.HOLD) or choosing

    def _confirms(self, name: str, char: str) -> bool:
        step = self.situation.step
        if step is not None and step.critical:
            if self._demand.lines and char != self._digit and char in ("1", "2", "3"):
                self.say(screen_words.WRONG_LINE)
            return char == self._digit
        return name in ("enter", "space")

    def _mark_key(self, stage: str, name: str, char: str) -> None:
        step = self.situation.step
        choices = (
            screen_words.signers(step.hold, self.session.job) if stage == stages.HOLD and step and step.hold else ()
        )
        count = len(choices) if stage == stages.HOLD else len(stages.DECISIONS)
        moved = moved_mark(self._mark, count, name, char)
        if moved is not None:
            self._mark = moved
            self.draw()
        elif name == "enter" and self._mark is not None:
            if not self._warned():
                return
            if stage == stages.HOLD:
                turning.sign(self, choices[self._mark])
            else:
                flows.settle(self, stages.DECISIONS[self._mark])
        else:
            self._letter(char)

    def _warned(self) -> bool:
        """True once the warnings of this step were in sight to their end; else the page goes on (SP-01)."""
        if self._far:
            return False
        if self._read or self._warnings_in_sight:
            self._read = True
            return True
        self.reach.turn("pagedown")
        self.say(screen_words.READ_ON)
        return False

    def _stamp(self, mark: str) -> None:
        step = self.situation.step
        if step is not None and self._warned():
            self.give(c.StampRound(self.person, self.session.stamp(), step.where, mark))
            self._follow()

    def _record(self) -> None:
        """Give what is typed as the answer to the step."""
        step = self.situation.step
        if step is None or not self._warned():
            return
        self.give(c.Answer(self.person, self.session.stamp(), step.where, self._draft.answers()))

    # --- drawing ---

    def draw(self, *, follow: bool = False) -> None:
        """Draw everything; to follow is to show the end of the step, where something is typed."""
        if not self.is_attached:
            return
        if self.too_small:
            self.put_too_small()
            return
        session, size, pane = self.session, self.room, self._pane
        mode, acting = words.MODE_WORDS[session.mode], words.person_name(session.job, self.person)
        practice, now_ms = session.mode == PRACTICE, session.now_ms()
        marks = self.turned is None or not turning.reads_marks(self.situation)
        frame = Frame(session.job, self.situation, mode, practice, now_ms, acting, self._said, marks)
        top, bottom = [frame.head(size), frame.strip(size)], [*self._beside(), frame.verdict(size)]
        if self._far:
            area, top, bottom, self.reach = far_area(self._look, now_ms, size), top[:1], [], Reach()
        elif pane is None:
            area, self.reach = step_area(self._look, size.width, self._picture), self._at_step
        else:
            area = page_area(pane) if isinstance(pane, Page) else question_area(pane, size.width)
            self.reach = self._at_pane
        self.put(top, area, bottom, self._hint, key_line(size.width), follow=follow)

    def _beside(self) -> tuple[Block, Block]:
        """Return the last reading on its scale, and what the lone-work clock asks."""
        gauge = () if self._pane is not None else gauge_lines(self._gauge, self.room)
        lone = textwrap.wrap(self._lone_line, self.room.width - 2)
        return (
            Block("gauge", "page", rows(f" {line}" for line in gauge)),
            Block("lone", "danger", rows(f" {line}" for line in lone)),
        )

    def _hint(self) -> str:
        pane = self._pane
        if self._far:
            return screen_words.FAR_HINT
        if isinstance(pane, Page):
            return screen_words.PAGE_HINT
        if isinstance(pane, Pick):
            return screen_words.PICK_HINT
        if isinstance(pane, Ask):
            return screen_words.ASK_HINT
        more = screen_words.MORE_BELOW if self.reach.more_below else ""
        picture = "" if self.turned else self._pictures.hint(self.session.job, self.session.state, self.room)
        filling = stages.stage_of(self.situation, self._draft) in (stages.FILL, stages.READY)
        point = "  Ins point" if filling and add_point.goes_along(self.session.job, self.session.state) else ""
        return more + entry.hint(self._look) + picture + point
