"""The walk's desk: one job at work, what is typed for its step, what is open beside it, and all of it drawn.

Rules
1. It decides nothing: a command goes to the session, and what came of it is shown.
2. Head, safety strip and key line stay in sight whatever is asked in between.
The keys are taken in `walk`.
"""

from __future__ import annotations

import textwrap
from typing import TYPE_CHECKING

from ferrule.engine.shell.logfile import StoreError
from ferrule.engine.shell.session import PRACTICE, Session, Taken
from ferrule.engine.walk import commands as c
from ferrule.engine.walk import events as e
from ferrule.engine.walk.situation import Situation
from ferrule.tui import screen_words, words
from ferrule.tui.bindings import key_line
from ferrule.tui.demand import Demand, demand_of
from ferrule.tui.screens import add_point, entry, menu, stages, timing, turning
from ferrule.tui.screens.areas import page_area, question_area, step_area
from ferrule.tui.screens.beside import NOTHING, Pictures, Shown, gauge_after, gauge_lines
from ferrule.tui.screens.draft import Draft, Fault
from ferrule.tui.screens.far import far_area
from ferrule.tui.screens.frame import Frame, SheetScreen
from ferrule.tui.screens.lone import LoneClock
from ferrule.tui.screens.panes import Ask, Page, Pick
from ferrule.tui.screens.reach import Reach
from ferrule.tui.widgets.paint import Block
from ferrule.tui.widgets.text import rows

if TYPE_CHECKING:
    from ferrule.tui.pictures.gauge import Gauge

TICK_S = 1.0
SLOW_TICKS = 20
"""While nothing counts down, the ages in the strip are looked at every so many ticks."""


class WalkDesk(SheetScreen):
    """One job at work."""

    SMALL_KEYS = screen_words.SMALL_WALK

    def __init__(self, session: Session, person: str = "") -> None:
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

    # --- drawing ---

    def put_all(self, *, follow: bool) -> None:
        """Draw everything; to follow is to show the end of the step, where something is typed."""
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
