"""The closed lists of words that the forms use: functions, lists, card facts, answers, kinds of step.

For: one place where a word of a form is allowed or not, for the loader, the walk and the editors' schema.
Must never: say what a word leads to; needs and effects stand in the table of acts alone.
"""

from __future__ import annotations

from collections.abc import Mapping
from types import MappingProxyType

from ferrule.engine.electrics.limits import Outcome
from ferrule.engine.procedure.choice_words import CHOICE_FACTS

FUNCTIONS: dict[str, str] = {
    "low resistance": "ohm",
    "insulation 500": "Mohm",
    "insulation 250": "Mohm",
    "loop": "ohm",
    "fault current": "kA",
    "residual time": "ms",
    "voltage": "V",
    "indicator": "V",
    "torque": "Nm",
    "clamp": "mA",
    "residual ramp": "mA",
}
"""What an instrument reads, with the unit that it is read in."""

TORQUE = "torque"
"""The function of a torque tool; the others belong to instruments."""

TERMINAL_PARTS = ("supply", "load", "lead", "earth")
"""What a terminal belongs to: the busbar side, the load side, the lead to the neutral bar, the earth bar."""

LISTS: Mapping[str, str] = MappingProxyType(
    {
        "sockets": "",
        "proving points": "",
        "sources": "source",
        "main sources": "main source",
        "second sources": "second source",
        "terminals": "terminal",
        "instruments": "",
        "torque tools": "",
        "items": "item",
        "loads": "",
        "people": "",
        "as-found point": "",
        "far point": "",
        "landing point": "",
        "earthed points": "",
        "points without earth": "unearthed point",
        "early terminals": "early terminal",
        "late terminals": "late terminal",
        **{f"{part} terminals": f"{part} terminal" for part in TERMINAL_PARTS},
        "section device": "section device",
        "three-phase board": "three-phase board",
        "board sources": "board source",
        "upstream sources": "upstream source",
        "old terminals": "old terminal",
        "other ways": "other way",
    }
)
"""The lists of the card that a round may go through, with the family of objects that an entry is."""

POINT_LISTS = (
    "sockets",
    "earthed points",
    "as-found point",
    "far point",
    "landing point",
    "terminals",
    "old terminals",
    "early terminals",
    "late terminals",
    *(f"{part} terminals" for part in TERMINAL_PARTS),
)
"""Lists whose entries a figure may be worked out for."""

WIDER_FAMILY: Mapping[str, str] = MappingProxyType(
    {
        "main source": "source",
        "second source": "source",
        "early terminal": "terminal",
        "late terminal": "terminal",
        "board source": "source",
        "upstream source": "source",
        **{f"{part} terminal": "terminal" for part in TERMINAL_PARTS},
    }
)
"""A family whose objects all belong to another one too."""

MATCHES = (
    "board",
    "way",
    "device.curve",
    "device.rating",
    "device.residual",
    "device.residual-type",
    "device.breaking",
    "device.poles",
    "phase",
)
"""Words that are typed as read from the equipment and must equal the card."""

RESIDUAL_TESTS = ("one-times", "half-one-five")
"""The values of the setting `residual-test`: one test at the rated current, or the older three."""

SECOND_ENTRIES: Mapping[str, tuple[str, ...]] = MappingProxyType(
    {"none": (), "loop-and-time": ("loop", "residual time", "residual ramp")}
)
"""The values of the setting `second-entry`, each with the functions whose readings are typed a second time, blind."""

CARD_FACTS: Mapping[str, tuple[str, ...]] = MappingProxyType(
    {
        "circuit": ("ring", "radial"),
        "earthing": ("TN-C-S", "TN-S", "TT"),
        "phases": ("one", "three"),
        "sign-off": ("alone", "supervised", "reviewed later"),
        "work": ("replace", "add"),
        "tails": ("live", "isolated"),
        "origin": ("distributor", "own board"),
        "upstream source": ("some", "none"),
        "old terminals": ("some", "none"),
        "other ways": ("some", "none"),
        "earlier log": ("some", "none"),
        "old device": ("single-pole", "double-pole", "none"),
        "functional earth lead": ("fitted", "none"),
        "items": ("some", "none"),
        "second source": ("some", "none"),
        "external impedance": ("recorded", "unknown"),
        "spurs": ("some", "none"),
        "use": ("sockets", "lighting", "fixed equipment"),
        "two-way switching": ("some", "none"),
        "points without earth": ("some", "none"),
        "board": ("whole", "split-load"),
        "upstream type": ("none", "general", "delayed"),
        "main switch": ("opens the neutral", "leaves the neutral"),
        "device poles": ("single", "double"),
        "late leads": ("some", "none"),
        "residual ramp": ("on the card", "none"),
        "residual test": RESIDUAL_TESTS,
        **CHOICE_FACTS,
    }
)
"""Conditions that a step or a goal may ask of the card and of the settings of its limits, with their values."""

DONE = "done"
"""The answer of a step that has nothing to type; it counts as pass."""

OUTCOMES = tuple(outcome.value for outcome in Outcome)
"""The answers that a reading can give."""

DEFAULT_TARGETS: Mapping[str, str] = MappingProxyType(
    {
        "pass": "next",
        DONE: "next",
        "conditional-pass": "ask",
        "conditional-fail": "ask",
        "not-measured": "ask",
        "unstable": "again",
    }
)
"""Where an answer leads when the step does not say so; every other answer must be written."""

ASK = "ask supervisor"

FIXED_TARGETS: Mapping[str, str] = MappingProxyType(
    {"next": "next", "end": "end", ASK: "ask", "stop": "stop", "again": "again"}
)
"""The words for a target that is neither a step nor a procedure, with their compiled form."""

KINDS = ("do", "observe", "measure", "round", "compute", "wait", "hold", "verify", "end", "call")
"""The key that holds the sentence of a step says what kind it is."""

CELL_KINDS = ("read", "see", "type", "note", "figure")
"""The key that says what is answered in a cell."""

FORBIDDEN_IN_STEP = (
    "needs",
    "requires",
    "effects",
    "sets",
    "stale",
    "voids",
    "limit",
    "limits",
    "bands",
    "min",
    "max",
)
"""Keys that say what an act needs or changes, or what a limit is; a step may not carry them."""

BELONGS_TO_LIMITS = frozenset({"limit", "limits", "bands", "min", "max"})
"""Those of the forbidden keys that belong to a row of the limits file; the others belong to the act."""

SEVERITIES = ("danger", "warning", "caution", "notice")
ENDINGS = ("complete", "made safe", "put back as found", "to be continued", "stopped")
ROLES = ("technician", "apprentice", "supervisor", "designer", "inspector", "client")
OWN = "own"
CUSTODIES = (OWN, "distributor")
"""Whose lock or seal isolates a source."""
CURVES = ("B", "C", "D")
PHASES = ("L1", "L2", "L3")
RESIDUAL_TYPES = ("AC", "A", "F", "B")
LOAD_KINDS = ("no-dc", "general", "single-phase-drive", "smooth-dc")
"""What a load puts into its protective conductor, as far as it decides the residual type."""
INSULATION_RULES = ("out", "off", "permits")
BASES = ("published", "from memory", "common practice")
