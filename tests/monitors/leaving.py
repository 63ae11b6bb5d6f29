"""What must hold while a job is left unfinished, put back, or shares its supply with others; by rules of its own.

It knows the names of acts and nothing of the engine's needs, effects or cascades.
Source of the rules: trade brief §14.3, invariants 11, 15-20, 39-41, 44, 47 and §10 V6, V9, V10.
"""

from __future__ import annotations

from dataclasses import dataclass, field, replace
from typing import TYPE_CHECKING

from ferrule.engine.procedure.compiled import Job
from ferrule.engine.walk import events as e

if TYPE_CHECKING:
    from tests.monitors.monitors import Record

CLOSES = ("close the way", "close the old device")
UNFINISHED = ("loose", "seated")


@dataclass
class Left:
    """The memory of these monitors."""

    upstream: tuple[str, ...] = ()
    others: dict[str, str] = field(default_factory=dict)
    old_terminal: dict[str, str] = field(default_factory=dict)
    ends: str = "as found"
    way_locked: bool = False
    bonding_off: bool = False
    old_on: bool = False
    old_read: bool = False

    def fork(self) -> Left:
        """Return a copy that can go its own way."""
        return replace(self, others=dict(self.others), old_terminal=dict(self.old_terminal))


def left_of(job: Job) -> Left:
    """Return an empty memory for a job."""
    card = job.card
    return Left(
        tuple(s.id for s in card.sources if s.upstream),
        {way.id: "unknown" for way in card.other_ways},
        ends="as found" if card.earlier is None else card.earlier.ends,
    )


def energises(act: str) -> bool:
    """True for an act that makes something live again."""
    return act.startswith("give back ") or act in CLOSES


def before_leaving(record: Record, act: str) -> None:
    """Judge what must stand before an act that makes live, or that closes the log."""
    left = record.left
    if energises(act):
        _before_any(record, act)
    if act.endswith("for the other ways"):
        _before_others(record, act)
    if act.endswith("with the old device") or act == "close the old device":
        _before_old(record, act)
    if act.startswith("give back the main switch") and set(left.upstream) & record.locked:
        record.say(11, f"“{act}” before the supply upstream is back")
    if act == "give back a second source with the old device" and not (left.old_on and left.old_read):
        record.say(47, "a second source given back before the old way was read")
    if act.startswith("close the log"):
        _before_close(record, act)


def _unfinished(record: Record) -> list[str]:
    terminals = {**record.terminal, **record.left.old_terminal}
    return sorted(t for t, word in terminals.items() if word in UNFINISHED)


def _before_any(record: Record, act: str) -> None:
    if record.left.bonding_off:
        record.say(17, f"“{act}” with the main bonding parted")
    if record.links:
        record.say(15, f"“{act}” with links {sorted(record.links)}")
    if _unfinished(record):
        record.say(15, f"“{act}” with {_unfinished(record)} not finished")
    at_work = sorted(way for way, word in record.left.others.items() if word not in ("finished", "made safe"))
    if at_work:
        record.say(9, f"“{act}” while {at_work} of the same shutdown is at work")
    if act in CLOSES and record.left.way_locked:
        record.say(9, f"“{act}” with the lock of the way on")


def _before_others(record: Record, act: str) -> None:
    left = record.left
    if not left.way_locked:
        record.say(20, f"“{act}” with this way not locked off")
    if left.ends == "loose":
        record.say(20, f"“{act}” with loose ends")
    if record.cover != "closed" or not record.told:
        record.say(15, f"“{act}”: cover {record.cover}, users told {record.told}")
    if "made safe" not in record.holds:
        record.say(15, f"“{act}” without hold point made safe")


def _before_old(record: Record, act: str) -> None:
    if "put back" not in record.holds:
        record.say(15, f"“{act}” without hold point put back")
    if not record.told or (record.cover != "closed" and "upstream" not in act):
        record.say(15, f"“{act}”: cover {record.cover}, users told {record.told}")
    if record.tripped_unexplained:
        record.say(19, f"“{act}” with a trip unexplained")
    for name in ("landing earth", "landing neutral", "landing insulation"):
        if "upstream" not in act and record.results.get(name) != "pass":
            record.say(16, f"“{act}” while {name} is {record.results.get(name, 'not read')}")


def _before_close(record: Record, act: str) -> None:
    left, on = record.left, set(record.sources) - record.locked
    if act == "close the log as not begun":
        if record.locked or record.links or record.cover == "open":
            record.say(44, "closed as not begun with something begun")
        return
    if record.cover != "closed":
        record.say(39, f"“{act}” with the cover {record.cover}")
    if act in ("close the log", "close the log as put back"):
        if record.locked or left.way_locked or record.links or record.off_items or _unfinished(record):
            record.say(40, f"“{act}” with locks, links, items or terminals left")
        return
    if on and not left.way_locked:
        record.say(20, f"“{act}” with {sorted(on)} on and this way not locked off")
    if on and (record.links or _unfinished(record) or left.ends == "loose" or left.bonding_off):
        record.say(44, f"“{act}” with {sorted(on)} on beside unfinished work")


def after_leaving(record: Record, act: str, objects: dict[str, bool], event: e.Answered) -> None:
    """Take what an act did into the memory."""
    left, passed = record.left, event.word in ("pass", "done")
    if act == "hear of another way":
        words = {"pass": "finished", "done": "finished", "made safe": "made safe"}
        for way in objects:
            cells = [cell for cell in event.cells if cell.point == way]
            told = next((cell.outcome for cell in cells if cell.outcome in ("made safe", "still open")), "pass")
            left.others[way] = words.get(told, "open")
    elif act in _TERMINAL:
        for terminal, fine in objects.items():
            left.old_terminal[terminal] = _TERMINAL[act] if fine else "loose"
        record.holds.discard("put back")
        left.ends = "landed" if act.startswith("land") else left.ends
    elif act in ("take out the conductors", "bring the conductors in") and passed:
        left.ends, left.old_terminal = "loose", dict.fromkeys(left.old_terminal, "empty")
    elif act == "land the conductors":
        left.ends = "landed"
    elif passed and act in _ENDS:
        left.ends = _ENDS[act]
    if passed and act in _FLAGS:
        name, value = _FLAGS[act]
        setattr(left, name, value)
    if act in ("switch the old device off", "take off the old device", "close the old device"):
        left.old_on, left.old_read = act == "close the old device" and passed, False
        record.tripped_unexplained = record.tripped_unexplained or event.word == "tripped"


_TERMINAL = {
    "land the conductors in the old device": "seated",
    "torque, tug and mark an old terminal": "checked",
}
_ENDS = {"part and insulate the ends": "parked"}
_FLAGS: dict[str, tuple[str, bool]] = {
    "lock off the job way": ("way_locked", True),
    "take the lock off the job way": ("way_locked", False),
    "part the main bonding": ("bonding_off", True),
    "join the main bonding again": ("bonding_off", False),
    "read the old way live": ("old_read", True),
}


def report_leaving(record: Record, event: e.Reported) -> None:
    """Take what was reported into the memory."""
    left = record.left
    if event.what == "lock of the way lost":
        left.way_locked = False
    if event.what == "other way taken up again":
        left.others[event.of] = "open"
    if event.what == "old terminal disturbed":
        left.old_terminal[event.of] = "loose"
        record.holds.discard("put back")
