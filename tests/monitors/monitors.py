"""What must hold, judged from the list of events alone, by rules written here and not taken from the engine.

Each monitor keeps its own small memory, fed with one answered step or report at a time.
The names of acts are looked up from the procedures; needs, effects and cascades of the engine are not used.
Source of the rules: trade brief §14.3, invariants 1-5, 7, 8, 13-18, 21, 26, 28.
"""

from __future__ import annotations

from collections.abc import Callable, Iterable, Mapping
from dataclasses import dataclass, field, replace
from decimal import Decimal
from typing import Any

from ferrule.engine.procedure.compiled import Job
from ferrule.engine.walk import commands as c
from ferrule.engine.walk import events as e
from ferrule.engine.walk.place import objects_of
from tests.monitors.leaving import Left, after_leaving, before_leaving, energises, left_of, report_leaving

TOUCHING = {
    "mark the conductors",
    "trace the neutral",
    "see the point without earth",
    "take out a fly-lead",
    "land a fly-lead",
    "take out the conductors",
    "part and insulate the ends",
    "take off the old device",
    "look at the busbar",
    "disconnect the item",
    "reconnect the item",
    "fit a link",
    "remove a link",
    "read separation",
    "read the protective conductor",
    "read ring step one",
    "read ring step two",
    "read ring step three",
    "read insulation",
    "read insulation together",
    "check polarity",
    "fit the device",
    "land the conductors",
    "torque, tug and mark",
    "see the enclosure",
    "read line to earth after landing",
    "read line to neutral after landing",
    "read insulation after landing",
    "read to find a fault",
    "read the main bonding",
    "remake the main bonding",
    "say where the fault lies",
    "seat the device again",
    "remake an accessory",
    "remake a joint or cable",
    "remake a device terminal",
    "quarantine the device",
    "part the earthing conductor",
    "remake the earthing conductor",
    "read the earthing conductor",
    "bring the conductors in",
    "take off the new device",
    "fit the old device again",
    "land the conductors in the old device",
    "torque, tug and mark an old terminal",
    "part the main bonding",
    "read the parted bonding",
    "join the main bonding again",
}
BUSBAR_WORK = {
    "take off the old device",
    "fit the device",
    "seat the device again",
    "quarantine the device",
    "take off the new device",
    "fit the old device again",
}
BEFORE_BARRIER = {
    "prove the indicator",
    "prove dead",
    "fit the barrier",
    "close the cover",
    "take hands and tools out",
    "switch off and lock for safety",
    "switch the way off",
    "switch the old device off",
    "tell people",
    "release hold point made safe",
    "release hold point three",
    "look for a fault",
    "say how it goes on",
}
DEAD_TESTS = {
    "read separation": "separation",
    "read the protective conductor": "cpc",
    "read ring step one": "ring one",
    "read ring step two": "ring two",
    "read ring step three": "ring three",
    "read insulation": "insulation",
    "read insulation together": "insulation together",
    "check polarity": "polarity",
    "read line to earth after landing": "landing earth",
    "read line to neutral after landing": "landing neutral",
    "read insulation after landing": "landing insulation",
}
REPAIRS = {
    "remake an accessory",
    "remake a joint or cable",
    "remake a device terminal",
    "put the test set-up right",
    "take out what was left in",
    "remake the main bonding",
    "seat the device again",
    "quarantine the device",
    "take out the conductors",
    "land the conductors",
    "fit the device",
    "take off the new device",
    "fit the old device again",
    "land the conductors in the old device",
    "bring the conductors in",
}
ORDER = {
    "ring one": ("cpc",),
    "ring two": ("ring one",),
    "ring three": ("ring two",),
    "insulation": ("cpc", "ring one", "ring two", "ring three"),
    "polarity": ("insulation",),
}
LOSES_PROOF = {
    "lock or key lost",
    "source changed",
    "unlisted source found",
    "somebody had access",
    "indicator failed or damaged",
}
LOSES_LOCK = {"lock or key lost", "source changed"}
AWAY_MS = 10 * 60_000


@dataclass
class Record:
    """The monitors' own memory of what was recorded, in the words of the trade."""

    ring: bool
    sources: tuple[str, ...]
    main_sources: tuple[str, ...]
    terminals: tuple[str, ...]
    late_terminals: tuple[str, ...]
    part: Mapping[str, str]
    """Terminal to what it belongs to; empty words where the card does not say."""
    items: tuple[str, ...]
    pairs_wanted: int
    neutral_traced: bool = False
    parked: bool = False
    proved: bool = False
    hold_two: bool = False
    listed: bool = False
    locked: set[str] = field(default_factory=set)
    indicator: str = "unproved"
    exposed: bool = False
    cover: str = "unseen"
    told: bool = False
    earthing: bool = False
    earthing_read: bool = False
    parted: bool = False
    six: frozenset[str] = frozenset()
    links: set[str] = field(default_factory=set)
    off_items: set[str] = field(default_factory=set)
    terminal: dict[str, str] = field(default_factory=dict)
    results: dict[str, str] = field(default_factory=dict)
    repaired: dict[str, bool] = field(default_factory=dict)
    holds: set[str] = field(default_factory=set)
    away_ms: int | None = None
    last_ms: int = 0
    tripped_unexplained: bool = False
    entries: dict[int, tuple[str, str]] = field(default_factory=dict)
    left: Left = field(default_factory=Left)
    """What concerns other ways, the old device and work that is left."""
    broken: list[str] = field(default_factory=list)

    def fork(self) -> Record:
        """Return a copy that can go its own way, without what is broken so far."""
        return replace(
            self,
            locked=set(self.locked),
            links=set(self.links),
            off_items=set(self.off_items),
            terminal=dict(self.terminal),
            results=dict(self.results),
            repaired=dict(self.repaired),
            holds=set(self.holds),
            entries=dict(self.entries),
            left=self.left.fork(),
            broken=[],
        )

    def say(self, number: int, what: str) -> None:
        """Note a broken invariant."""
        self.broken.append(f"invariant {number}: {what}")

    def unprove(self) -> None:
        """What was proved is no longer relied on."""
        self.proved = False
        self.hold_two = False
        self.holds.discard("two")

    def void_dead(self) -> None:
        """Dead results no longer stand."""
        for name, word in self.results.items():
            if word == "pass" and name in DEAD_TESTS.values():
                self.results[name] = "void"
        self.holds.discard("five")


def watch(job: Job) -> Record:
    """Return an empty record for a job."""
    card = job.card
    ring = card.circuit.kind == "ring"
    return Record(
        ring,
        tuple(s.id for s in card.sources),
        tuple(s.id for s in card.sources if s.main),
        tuple(t.id for t in card.device.terminals),
        tuple(t.id for t in card.device.terminals if t.late),
        {t.id: t.part for t in card.device.terminals},
        tuple(i.id for i in card.items),
        (3 if card.supply.phases == 1 else 10) * len(card.proving_points),
        left=left_of(job),
    )


def see(job: Job, record: Record, command: c.Command, events: Iterable[e.Event]) -> None:
    """Take one command with its events into the record, noting what it breaks."""
    gap = command.at.ms - record.last_ms
    record.last_ms = command.at.ms
    for event in events:
        if isinstance(event, e.Answered):
            _see_answer(job, record, event)
        elif isinstance(event, e.Settled):
            _see_settled(job, record, event)
        elif isinstance(event, e.Signed):
            _see_signed(job, record, event)
        elif isinstance(event, e.Reported):
            _see_report(record, event)
        elif isinstance(event, e.StruckOut):
            _see_struck(record, event)
        elif isinstance(event, e.HandedOver | e.Stopped | e.WentOn):
            record.unprove()
            if isinstance(event, e.WentOn):
                record.holds.discard("made safe")
        elif isinstance(event, e.WentAway):
            record.away_ms = event.at_ms
        elif isinstance(event, e.CameBack | e.TakenUp):
            since = command.at.ms - record.away_ms if record.away_ms is not None else gap
            if since > AWAY_MS and (isinstance(event, e.TakenUp) or record.away_ms is not None):
                record.unprove()
            record.away_ms = None
        elif isinstance(event, e.CardAmended):
            record.repaired = dict.fromkeys(record.results, True)


def _step(job: Job, where: str) -> Any:
    name, _, step_id = where.partition("/")
    return next(s for s in job.procedures[name].steps if s.id == step_id)


def _objects(step: Any, event: e.Answered) -> dict[str, bool]:
    """Return each object of the act with whether all its own cells passed."""
    if step.of == "each":
        points = dict.fromkeys(cell.point for cell in event.cells if cell.point)
        shared = all(_fine(cell) for cell in event.cells if not cell.point)
        return {p: shared and all(_fine(cell) for cell in event.cells if cell.point == p) for p in points}
    return {step.of: event.word in ("pass", "done")}


def _fine(cell: e.CellRecord) -> bool:
    return cell.outcome == "pass"


def _see_answer(job: Job, record: Record, event: e.Answered) -> None:
    step = _step(job, event.step)
    record.entries[event.entry] = (event.step, step.act)
    for cell in event.cells:
        _off_scale(job, record, cell)
    objects = _objects(step, event)
    before_act(record, step.act)
    after_act(record, step.act, objects, event)


def before_act(record: Record, act: str) -> None:
    """Judge what must stand before an act that was done."""
    if act in TOUCHING:
        if not (record.proved and record.hold_two):
            record.say(1, f"“{act}” without a standing proof signed at hold point two")
        if set(record.sources) - record.locked:
            record.say(7, f"“{act}” while {sorted(set(record.sources) - record.locked)} is not locked")
        if not record.listed:
            record.say(8, f"“{act}” without a list of sources")
    if act in BUSBAR_WORK and not record.proved:
        record.say(13, f"“{act}” on a busbar that is not proved")
    if record.exposed and act and act not in BEFORE_BARRIER:
        record.say(14, f"“{act}” with the tails exposed")
    _before_parting(record, act)
    before_leaving(record, act)
    if act == "give back the main switch":
        _before_main(record)
    if act == "close the way":
        _before_way(record)
    if act == "close the device alone":
        _before_parked_close(record)
    if energises(act) or act == "close the device alone":
        if not record.earthing:
            record.say(17, f"“{act}” with earthing and bonding not seen")
        if record.off_items:
            record.say(18, f"“{act}” with {sorted(record.off_items)} off")
    if act == "read external impedance with earthing parted" and not record.parted:
        record.say(17, "read as parted with the earthing conductor on")
    reads_parted = act == "read external impedance with earthing parted"
    if record.parted and (reads_parted or energises(act)) and set(record.sources) - record.locked:
        record.say(17, f"“{act}” with the earthing conductor off and a source that is not locked")
    wanted = DEAD_TESTS.get(act)
    for earlier in ORDER.get(wanted or "", ()):
        if record.results.get(earlier) != "pass" and (record.ring or not earlier.startswith("ring")):
            record.say(21, f"“{act}” before {earlier} has passed")


def _before_parting(record: Record, act: str) -> None:
    """A neutral is parted only once traced, a lead of the device lands only after the insulation test."""
    if act == "take out the conductors" and not record.neutral_traced:
        record.say(35, "a neutral parted that nobody traced since the ways were locked")
    if act == "read insulation after landing":
        landed = {t for t in record.late_terminals if record.terminal.get(t) != "empty"}
        if landed:
            record.say(24, f"insulation read with {sorted(landed)} landed")
    if act == "land a fly-lead" and record.results.get("landing insulation") != "pass":
        record.say(24, "a lead of the device landed before the insulation test has passed")


def _before_parked_close(record: Record) -> None:
    """A parked close stands only with the ends parked, no link in, nothing loose, and everybody told."""
    loose = {t for t, word in record.terminal.items() if word in ("loose", "seated")}
    if not record.parked or record.links or loose or not record.told:
        record.say(48, f"parked close: parked {record.parked}, links {sorted(record.links)}, loose {sorted(loose)}")


def _before_main(record: Record) -> None:
    if record.links:
        record.say(15, f"links fitted: {sorted(record.links)}")
    bad = {t for t in record.terminals if record.terminal.get(t, "as found") not in ("as found", "checked", "empty")}
    if bad:
        record.say(15, f"terminals not finished: {sorted(bad)}")
    if record.cover != "closed":
        record.say(15, "cover not closed")
    if not record.told:
        record.say(15, "users not told")
    if "five" not in record.holds:
        record.say(15, "hold point five not signed")


def _before_way(record: Record) -> None:
    for name in DEAD_TESTS.values():
        if name.startswith("ring") and not record.ring:
            continue
        if record.results.get(name) != "pass":
            record.say(16, f"way closed while {name} is {record.results.get(name, 'not read')}")
    bad = {t for t in record.terminals if record.terminal.get(t) != "checked"}
    if bad:
        record.say(15, f"terminals not finished: {sorted(bad)}")
    for hold in ("four", "five"):
        if hold not in record.holds:
            record.say(16, f"way closed without hold point {hold}")
    if record.tripped_unexplained:
        record.say(19, "way closed again with a trip unexplained")


def after_act(record: Record, act: str, objects: dict[str, bool], event: e.Answered) -> None:
    """Take what an act did into the record."""
    passed = event.word in ("pass", "done")
    if act == "prove dead":
        _after_round(record, event, passed)
    elif act in DEAD_TESTS:
        _after_test(record, DEAD_TESTS[act], event.word)
    elif act in ("isolate and lock", "switch off and lock for safety"):
        for source, fine in objects.items():
            (record.locked.add if fine else record.locked.discard)(source)
        if not all(objects.values()):
            record.unprove()
            record.neutral_traced = False
    elif (act.startswith("give back ") and passed) or (
        act == "close the device alone" and event.word in ("pass", "tripped")
    ):
        record.locked -= set(objects)
        record.neutral_traced = False
        record.unprove()
    elif act == "say where the fault lies" and not passed:
        record.tripped_unexplained = record.tripped_unexplained and event.word == "conditional-fail"
    elif act == "close the way" and event.word == "tripped":
        _tripped(record)
    elif act in _SIMPLE:
        _SIMPLE[act](record, objects, passed)
    after_leaving(record, act, objects, event)
    if event.word == "shared neutral":
        record.listed = False
        record.unprove()
    if act in REPAIRS:
        record.repaired = dict.fromkeys([*record.results, *DEAD_TESTS.values()], True)
        _retest(record, act, objects)


def _after_round(record: Record, event: e.Answered, passed: bool) -> None:
    """A proof stands only on prove, every pair at every point clear, prove again (invariants 2, 3, 4)."""
    pairs = [cell for cell in event.cells if cell.point]
    clear = all(cell.form == c.BELOW and cell.outcome == "pass" for cell in pairs)
    serials = {cell.instrument for cell in pairs}
    complete = len(pairs) == record.pairs_wanted and len({(p.point, p.cell) for p in pairs}) == len(pairs)
    after = any(cell.outcome == "pass" and cell.cell == "after" and not cell.point for cell in event.cells)
    before = record.indicator == "proved"
    record.indicator = "unproved"
    record.unprove()
    if event.word == "indicator failed":
        record.indicator = "failed"
        record.void_dead()
    if passed and not (clear and complete and after and before and len(serials) == 1):
        record.say(2, "a round passed without prove, all pairs clear, prove")
    record.proved = passed and clear and complete and after and before and set(record.sources) <= record.locked
    if event.word == "voltage found":
        record.listed = record.neutral_traced = False


def _after_test(record: Record, name: str, word: str) -> None:
    before = record.results.get(name)
    after = (
        "pass" if word in ("pass", "done") else "refer" if "conditional" in word or word == "not-measured" else "fail"
    )
    if before == "fail" and after == "pass" and not record.repaired.get(name):
        record.say(26, f"{name} went from fail to pass without a recorded repair")
    record.results[name] = after
    record.repaired[name] = False


def _retest(record: Record, act: str, of: Iterable[str]) -> None:
    """What a repair touched is read again before the way is closed (retest table)."""
    landing = ("landing earth", "landing neutral", "landing insulation")
    ring = ("ring one", "ring two", "ring three", "insulation", "insulation together", "polarity")
    table = {
        "remake an accessory": ring if record.ring else ("cpc", *ring),
        "remake a joint or cable": ("cpc", "separation", *ring),
        "quarantine the device": landing,
        "take out the conductors": landing,
        "land the conductors": landing,
        "fit the device": landing,
        "bring the conductors in": landing,
        "take off the new device": landing,
        "fit the old device again": landing,
        "land the conductors in the old device": landing,
        "seat the device again": landing,
    }
    wanted = set(table.get(act, ()))
    if act == "remake a device terminal":
        wanted = {name for terminal in of for name in _OF_PART[record.part[terminal]]}
    for name in wanted:
        if record.results.get(name) == "pass":
            record.results[name] = "void"
    if wanted:
        record.holds.discard("five")


_OF_PART = {
    "": ("landing earth", "landing neutral", "landing insulation"),
    "supply": ("landing earth", "landing neutral", "landing insulation"),
    "load": ("landing earth", "landing neutral"),
    "lead": (),
    "earth": ("landing earth",),
}
"""What is read again after a terminal was disturbed, by what the terminal belongs to (retest table)."""

_OPENS_AGAIN = (
    "accessory opened",
    "cable or joint disturbed",
    "load was left in",
    "instrument dropped or damaged",
    "lock or key lost",
    "terminal disturbed",
    "old terminal disturbed",
    "device tripped",
)
"""Reports after which a reading that failed is read again, as after a repair: what it rested on is no longer so."""
_DISTURBED = {"accessory opened": "remake an accessory", "cable or joint disturbed": "remake a joint or cable"}
"""What is reported to have been disturbed asks for the same retest as its repair."""


def _see_settled(job: Job, record: Record, event: e.Settled) -> None:
    step = _step(job, event.step)
    act = step.act
    if act.startswith("give back ") and event.decision == "pass":
        record.locked -= set(objects_of(job, step))
    if act in DEAD_TESTS:
        name = DEAD_TESTS[act]
        word = {"pass": "pass", "fail": "fail"}.get(event.decision, "void")
        record.results[name] = word
    elif event.decision == "pass" and act in _SIMPLE:
        _SIMPLE[act](record, dict.fromkeys(objects_of(job, step), True), True)


def _see_signed(job: Job, record: Record, event: e.Signed) -> None:
    if event.hold == "two" and not record.proved:
        record.say(1, "hold point two signed without a standing proof")
    supervised = job.card.sign_off == "supervised"
    if event.role == "supervisor" or not supervised or event.hold == "four":
        record.holds.add(event.hold)
    if event.hold == "six":
        _see_six(job, record, event)
    if event.hold == "two" and (event.role == "supervisor" or not supervised):
        record.hold_two = record.proved


def _see_six(job: Job, record: Record, event: e.Signed) -> None:
    """The earthing conductor counts again once somebody else has read it back, and not before (invariant 17)."""
    if not record.earthing_read:
        record.say(17, "hold point six signed before the earthing conductor was read")
    if job.card.sign_off == "alone":
        record.say(38, "hold point six signed by one person alone")
    record.six = record.six | {event.role}
    if {"technician", "supervisor"} <= record.six:
        record.earthing = record.earthing_read


def _see_report(record: Record, event: e.Reported) -> None:
    report_leaving(record, event)
    if event.what in _OPENS_AGAIN:
        record.repaired = dict.fromkeys([*record.results, *DEAD_TESTS.values()], True)
    if event.what in LOSES_PROOF:
        record.unprove()
    if event.what in LOSES_LOCK:
        record.locked.discard(event.of)
        record.listed = record.neutral_traced = False
    if event.what == "unlisted source found":
        record.listed = record.neutral_traced = False
    if event.what == "indicator failed or damaged":
        record.indicator = "failed"
        record.void_dead()
    if event.what == "terminal disturbed":
        record.terminal[event.of] = "loose"
        _retest(record, "remake a device terminal", [event.of])
    if event.what in _DISTURBED:
        _retest(record, _DISTURBED[event.what], ())
    if event.what == "load was left in":
        for name in ("insulation", "insulation together", "landing insulation"):
            record.results[name] = "void"
    if event.what == "earthing or bonding disturbed":
        record.earthing = False
    if event.what == "main switch terminal disturbed":
        record.holds.discard("five")
    if event.what == "device tripped":
        record.tripped_unexplained = True
        for name in ("insulation", "landing insulation"):
            if record.results.get(name) == "pass":
                record.results[name] = "void"
    if event.what in ("instrument dropped or damaged", "lock or key lost"):
        record.void_dead()


def _see_struck(record: Record, event: e.StruckOut) -> None:
    act = record.entries.get(event.entry, ("", ""))[1]
    if act == "prove dead":
        record.unprove()
    if act in DEAD_TESTS:
        name = DEAD_TESTS[act]
        record.results[name] = "void"
        record.repaired[name] = True
    if act == "list the sources":
        record.listed = record.neutral_traced = False
        record.unprove()
    if act == "trace the neutral":
        record.neutral_traced = False
    if act == "look at the earthing":
        record.earthing = False
    if act == "tell the users":
        record.told = False


def _off_scale(job: Job, record: Record, cell: e.CellRecord) -> None:
    """A bound passes only when every value behind it would (invariant 28)."""
    reading = cell.reading
    row = job.limits.rows.get(_judge_of(cell))
    if reading is None or row is None or reading["relation"] == "=" or cell.outcome != "pass":
        return
    bound = Decimal(str(reading["value"]))
    for band in row.bands:
        if band.outcome != "pass":
            continue
        if reading["relation"] == ">" and band.high is not None:
            record.say(28, f"> {bound} passed a maximum")
        if (
            reading["relation"] == ">"
            and band.low is not None
            and band.low.value is not None
            and bound < band.low.value
        ):
            record.say(28, f"> {bound} passed a minimum of {band.low.value}")
        if (
            reading["relation"] == "<"
            and band.high is not None
            and band.high.value is not None
            and bound > band.high.value
        ):
            record.say(28, f"< {bound} passed a maximum of {band.high.value}")


def _judge_of(cell: e.CellRecord) -> str:
    return str(cell.verdict["row"]) if cell.verdict else ""


def _set(name: str, value: Any) -> Callable[[Record, dict[str, bool], bool], None]:
    def put(record: Record, _: dict[str, bool], passed: bool) -> None:
        if passed:
            setattr(record, name, value)

    return put


def _open_cover(record: Record, _: dict[str, bool], passed: bool) -> None:
    if passed:
        record.cover, record.exposed = "open", True
        record.holds.discard("three")


def _close_cover(record: Record, _: dict[str, bool], passed: bool) -> None:
    if passed:
        record.cover, record.exposed = "closed", False


def _condition(record: Record, _: dict[str, bool], passed: bool) -> None:
    record.cover = "closed" if passed else record.cover


def _earthing_seen(record: Record, _: dict[str, bool], passed: bool) -> None:
    record.earthing = passed and not record.parted


def _part(record: Record, _: dict[str, bool], passed: bool) -> None:
    if passed:
        record.parted, record.earthing, record.earthing_read, record.six = True, False, False, frozenset()


def _remade(record: Record, _: dict[str, bool], passed: bool) -> None:
    record.parted, record.earthing_read = record.parted and not passed, False


def _earthing_read(record: Record, _: dict[str, bool], passed: bool) -> None:
    record.earthing_read = passed and not record.parted


def _terminals(word: str) -> Callable[[Record, dict[str, bool], bool], None]:
    def put(record: Record, objects: dict[str, bool], _: bool) -> None:
        for terminal, fine in objects.items():
            record.terminal[terminal] = word if fine else "loose"

    return put


def _land(record: Record, objects: dict[str, bool], passed: bool) -> None:
    record.parked = False
    _terminals("seated")(record, objects, passed)


def _links(record: Record, objects: dict[str, bool], passed: bool) -> None:
    if passed:
        record.links |= set(objects)


def _unlink(record: Record, objects: dict[str, bool], passed: bool) -> None:
    if passed:
        record.links -= set(objects)


def _trace(record: Record, _: dict[str, bool], passed: bool) -> None:
    record.neutral_traced = passed


def _items(off: bool) -> Callable[[Record, dict[str, bool], bool], None]:
    def put(record: Record, objects: dict[str, bool], _: bool) -> None:
        done = {o for o, fine in objects.items() if fine}
        record.off_items = record.off_items | done if off else record.off_items - done

    return put


def _empty(record: Record, _: dict[str, bool], passed: bool) -> None:
    if passed:
        record.terminal = dict.fromkeys(record.terminals, "empty")


def _tripped(record: Record) -> None:
    record.tripped_unexplained = True
    for name in ("insulation", "landing insulation"):
        record.results[name] = "void"


_SIMPLE: dict[str, Callable[[Record, dict[str, bool], bool], None]] = {
    "list the sources": _set("listed", True),
    "tell the users": _set("told", True),
    "prove the indicator": lambda r, _, ok: setattr(r, "indicator", "proved" if ok else "failed"),
    "replace the indicator": _set("indicator", "unproved"),
    "open the cover": _open_cover,
    "fit the barrier": _set("exposed", False),
    "close the cover": _close_cover,
    "inspect condition": _condition,
    "look at the earthing": _earthing_seen,
    "part the earthing conductor": _part,
    "remake the earthing conductor": _remade,
    "read the earthing conductor": _earthing_read,
    "take out the conductors": _empty,
    "bring the conductors in": _empty,
    "land the conductors": _land,
    "torque, tug and mark": _terminals("checked"),
    "remake a device terminal": _terminals("seated"),
    "land a fly-lead": _terminals("seated"),
    "take out a fly-lead": _terminals("empty"),
    "trace the neutral": _trace,
    "part and insulate the ends": _set("parked", True),
    "fit a link": _links,
    "remove a link": _unlink,
    "disconnect the item": _items(off=True),
    "reconnect the item": _items(off=False),
    "record the cause of the trip": _set("tripped_unexplained", False),
    "record why the old device tripped": _set("tripped_unexplained", False),
}
