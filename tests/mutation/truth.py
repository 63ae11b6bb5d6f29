"""What is truly unsafe, judged from events and from what was really seen; no table of the engine has a say in it.

Beside the monitors of `tests/monitors` this holds who has to sign, what is looked at before what, and whether
something that was seen to be bad was taken for good.
Source of the rules: trade brief §2.1, §11.2 and §14.3 (invariants 12, 21-24, 26, 27, 31-34, 38, 41, 42, 47).
"""

from __future__ import annotations

from collections.abc import Iterable
from dataclasses import dataclass, field, replace

from ferrule.engine.procedure.compiled import Job, Step
from ferrule.engine.walk import events as e
from ferrule.engine.walk.place import step_at
from tests.monitors.monitors import DEAD_TESTS, TOUCHING

SIGNERS = {
    "alone": {
        "one": {"client", "technician"},
        "four": {"designer"},
        "nine": {"client", "technician"},
        "taken back": {"client", "technician"},
    },
    "supervised": {
        "one": {"client", "supervisor"},
        "four": {"designer"},
        "nine": {"client", "technician", "supervisor"},
        "made safe": {"supervisor"},
        "taken back": {"client", "technician", "supervisor"},
    },
}
OTHERWISE = {"alone": {"technician"}, "supervised": {"technician", "supervisor"}}
"""Who signs a hold point under a plan (trade brief §2.1)."""

SETS = {
    "check the torque tool": "torque tool",
    "check instruments": "instruments",
    "null the leads": "null",
    "unplug the loads": "loads",
    "wait for stored energy": "stored energy",
    "read the incoming supply": "incoming supply",
    "read fault current": "fault current",
    "take external impedance from the record": "external impedance",
    "read external impedance with earthing connected": "external impedance",
    "read external impedance with earthing parted": "external impedance",
    "read loop impedance": "loop",
    "time the residual device": "residual time",
    "judge the button": "button",
    "count tools and keys": "counted",
    "brief the client": "briefing",
    "judge the device in the hand": "device in hand",
    "judge the device on paper": "device on paper",
    "check the job": "job",
    "check authority": "authority",
    "check competence": "competence",
    "assess the risk": "risk",
    "check protective equipment": "protective equipment",
    "read the records": "records",
    "identify the way": "identity",
    "inspect condition": "condition",
    "see the enclosure": "enclosure",
    "clear the place": "ready",
    "compare with as found": "compared",
    "write up the record": "record written",
    "clear the place around the old device": "back ready",
    "read the old way live": "back live",
    "press the old button": "back button",
    "look at the busbar": "busbar",
    **DEAD_TESTS,
}
"""What counts as there once its act has passed."""

_LIVE = ("incoming supply", "external impedance", "fault current", "loop", "residual time")
LOSES = {
    "leads changed": ("null",),
    "put the test set-up right": ("null",),
    "instrument dropped or damaged": ("null", "instruments", *_LIVE),
    "lock or key lost": _LIVE,
    "load was left in": ("loads",),
    "take out what was left in": ("loads",),
    "accessory opened": ("loop",),
    "cable or joint disturbed": ("loop",),
    "remake an accessory": ("loop",),
    "remake a joint or cable": ("loop",),
    "main switch terminal disturbed": ("incoming supply", "external impedance"),
    "earthing or bonding disturbed": ("external impedance",),
    "remake the main bonding": ("external impedance",),
    "phases disturbed": ("incoming supply",),
    "take out the conductors": ("loop", "residual time", "button"),
    "land the conductors": ("loop", "residual time", "button"),
    "fit the device": ("loop", "residual time", "button"),
    "seat the device again": ("loop", "residual time", "button"),
    "quarantine the device": ("loop", "residual time", "button", "device in hand"),
    "condemn the device": ("device in hand",),
    "supply.earthing": ("loop", "residual time"),
    "device.rating": ("loop", "residual time"),
    "device.curve": ("loop", "residual time"),
}
"""What a report, an act or an amendment takes down (retest table)."""

_LOW_OHM = ("null", "instruments")
WANTS = {
    "torque, tug and mark": ("torque tool",),
    "torque, tug and mark an old terminal": ("torque tool",),
    "prove dead": ("stored energy",),
    "read separation": _LOW_OHM,
    "read the protective conductor": _LOW_OHM,
    "read ring step one": _LOW_OHM,
    "read ring step two": _LOW_OHM,
    "read ring step three": _LOW_OHM,
    "read line to earth after landing": _LOW_OHM,
    "read line to neutral after landing": _LOW_OHM,
    "read insulation": ("loads", "instruments"),
    "read insulation together": ("loads", "instruments"),
    "read insulation after landing": ("loads", "instruments"),
    "fit the device": ("device in hand",),
    "read loop impedance": ("instruments",),
    "time the residual device": ("instruments", "loop"),
    "give back a second source": ("loop", "residual time"),
    "close the log": (*_LIVE, "button", "counted", "briefing"),
}
"""What has to be there before an act."""


EVIDENCE = {
    "one": (
        *("job", "authority", "competence", "risk", "protective equipment", "instruments", "torque tool"),
        *("records", "identity", "condition"),
    ),
    "four": ("device on paper", "device in hand"),
    "five": ("enclosure", "ready", *DEAD_TESTS.values()),
    "seven": _LIVE,
    "eight": (*_LIVE, "button"),
    "nine": ("compared", "counted", "record written", "briefing"),
    "put back": ("back ready", "landing earth", "landing neutral", "landing insulation"),
    "taken back": ("back live", "back button", "counted"),
}
"""What has to be there before a hold point is signed (trade brief §2.1)."""


RECORDED_ONLY = ("read as found",)
"""Acts that write down what is there, good or bad; nothing is judged to be good by them."""
BY_CARD = -1
"""Stands for an entry where the card itself says that nothing is to be done."""


@dataclass
class Truth:
    """The memory of these monitors over one walk."""

    job: Job
    """The job as it was written by those who know the trade."""
    there: dict[str, frozenset[int]] = field(default_factory=dict)
    """What was looked at or read, with the entries that say so."""
    signed: dict[str, set[str]] = field(default_factory=dict)
    stopped: bool = False
    told: bool = False
    cover: bool = False
    entries: dict[int, str] = field(default_factory=dict)
    broken: list[str] = field(default_factory=list)

    def __post_init__(self) -> None:
        """What the card says is there needs nobody to do it."""
        if all(source.wait_min in ("", "0") for source in self.job.card.sources):
            self.there["stored energy"] = frozenset((BY_CARD,))
        if self.job.card.circuit.kind != "ring":
            self.there.update(dict.fromkeys(("ring one", "ring two", "ring three"), frozenset((BY_CARD,))))

    def fork(self) -> Truth:
        """Return a copy that goes its own way, without what is broken so far."""
        return replace(
            self,
            there=dict(self.there),
            signed={name: set(roles) for name, roles in self.signed.items()},
            entries=dict(self.entries),
            broken=[],
        )

    def see(self, job: Job, events: Iterable[e.Event]) -> None:
        """Take the events of one command, as the job that is walked wrote them."""
        for event in events:
            if isinstance(event, e.Answered):
                step = step_at(job, event.step)
                assert step is not None
                self._answered(step, event)
            elif isinstance(event, e.Settled):
                step = step_at(job, event.step)
                assert step is not None
                self._set(step.act, event.decision == "pass", event.entry)
            elif isinstance(event, e.Signed):
                self.signed.setdefault(event.hold, set()).add(event.role)
            elif isinstance(event, e.FactsChanged):
                self._holds(event)
            elif isinstance(event, e.Reported):
                self._lose(event.what)
            elif isinstance(event, e.CardAmended):
                self._lose(event.field)
            elif isinstance(event, e.StruckOut):
                self._struck(event.entry)
            elif isinstance(event, e.Stopped | e.WentOn):
                self.stopped = isinstance(event, e.Stopped)

    def _answered(self, step: Step, event: e.Answered) -> None:
        self.entries[event.entry] = step.act
        if self.stopped and step.act in TOUCHING:
            self.broken.append(f"invariant 41: “{step.act}” while work is stopped")
        missing = [want for want in WANTS.get(step.act, ()) if want not in self.there]
        if missing:
            self.broken.append(f"looked at too late: “{step.act}” without {', '.join(missing)}")
        if step.act in ("read loop impedance", "time the residual device") and not (self.told and self.cover):
            self.broken.append(f"invariant 22: “{step.act}” with the cover off or nobody told")
        passed = event.word in ("pass", "done")
        self._set(step.act, passed, event.entry)
        self._lose(step.act)
        if passed and step.act == "tell the users":
            self.told = True
        if step.act in ("open the cover", "close the cover", "inspect condition") and passed:
            self.cover = step.act != "open the cover"

    def _set(self, act: str, passed: bool, entry: int) -> None:
        name = SETS.get(act)
        if name and passed:
            self.there[name] = self.there.get(name, frozenset()) | {entry}
        elif name:
            self.there.pop(name, None)

    def _lose(self, what: str) -> None:
        for name in LOSES.get(what, ()):
            self.there.pop(name, None)

    def _struck(self, entry: int) -> None:
        """An entry that is struck out says nothing any more; another that says the same still stands."""
        act = self.entries.get(entry, "")
        name = SETS.get(act, "")
        left = self.there.get(name, frozenset()) - {entry}
        if name and left:
            self.there[name] = left
        else:
            self.there.pop(name, None)
        if act == "tell the users":
            self.told = False

    def _holds(self, event: e.FactsChanged) -> None:
        plan = "supervised" if self.job.card.sign_off == "supervised" else "alone"
        for fact, value in event.changes:
            family, _, name = fact.partition(":")
            if family != "hold":
                continue
            if value != "signed":
                self.signed.pop(name, None)
            elif not SIGNERS[plan].get(name, OTHERWISE[plan]) <= self.signed.get(name, set()):
                self.broken.append(f"invariant 38: hold point {name} signed by {sorted(self.signed.get(name, ()))}")
            else:
                missing = [want for want in EVIDENCE.get(name, ()) if want not in self.there]
                if missing:
                    self.broken.append(f"invariant 38: hold point {name} signed without {', '.join(missing)}")
