"""One sum over every table that a proof rests on, so that a proof made under other rules is not taken for one of these.

For: the test that holds `version.TABLES` to what the tables are, and so the record of proofs.
Must never: be computed at the start of a walk; the constant stands for it there.
"""

from __future__ import annotations

from dataclasses import fields, is_dataclass
from enum import Enum

from ferrule.engine import canon
from ferrule.engine.prover.invariants import HAZARD, PROVED
from ferrule.engine.safety.acts import ACTS
from ferrule.engine.safety.cascade import RULES
from ferrule.engine.safety.disturbances import DISTURBANCES
from ferrule.engine.safety.endings import ENDINGS
from ferrule.engine.safety.facts import FAMILIES
from ferrule.engine.safety.holds import HOLD_POINTS
from ferrule.engine.safety.pairs import PAIRS


def tables_sum() -> str:
    """Return 16 hexadecimal digits over facts, acts, cascade, disturbances, ends, hold points, pairs and invariants."""
    tables = (FAMILIES, ACTS, RULES, DISTURBANCES, ENDINGS, HOLD_POINTS, PAIRS, HAZARD, PROVED)
    return canon.sha256_hex(canon.dumps([_plain(table) for table in tables]))[:16]


def _plain(value: object) -> object:
    if isinstance(value, dict):
        return [[str(key), _plain(item)] for key, item in value.items()]
    if isinstance(value, frozenset):
        return sorted(str(item) for item in value)
    if isinstance(value, tuple | list):
        return [_plain(item) for item in value]
    if is_dataclass(value) and not isinstance(value, type):
        return [type(value).__name__, *(_plain(getattr(value, f.name)) for f in fields(value))]
    if isinstance(value, Enum):
        return str(value.value)
    if callable(value):
        return getattr(value, "__name__", "")
    return value if value is None or isinstance(value, bool | int | str) else str(value)
