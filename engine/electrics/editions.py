"""The editions that a single figure can be asked for, by the names that people write; each with its source.

A job takes its edition from its limits file; this table serves figures that are asked for without a job.
"""

from __future__ import annotations

from decimal import Decimal

from ferrule.engine.electrics.tables import C_MIN, TWO_THIRDS_SOURCE, Sourced
from ferrule.engine.light import dataclass


@dataclass(frozen=True, slots=True)
class Edition:
    """What an edition says where editions differ."""

    id: str
    title: str
    c_min: Sourced
    older_residual: bool = False
    """True where the residual-current devices in force were those of the older product standard."""
    wide_scope: bool = True
    """True where circuits with sockets belong to the table of times up to 63 A."""
    aliases: tuple[str, ...] = ()


_NO_C_MIN = Sourced(Decimal(1), "BS 7671:2008 before its third amendment: no factor Cmin (published tables)")
_SINCE_2015 = Sourced(C_MIN.value, "BS 7671:2008 third amendment (2015) onward: Cmin 0.95 (published)")
_ABROAD = Sourced(Decimal(1), f"{TWO_THIRDS_SOURCE}; the annex has no factor Cmin")

EDITIONS: tuple[Edition, ...] = (
    Edition("bs4293", "BS 4293 and BS 7288, devices of the 16th edition", _NO_C_MIN, True, False, ("16th", "bs7288")),
    Edition(
        "bs7671-2008", "BS 7671:2008, 17th edition", _NO_C_MIN, False, False, ("17th", "2008", "17th-2008", "2011")
    ),
    Edition(
        "bs7671-2008-a3",
        "BS 7671:2008 with its third amendment (2015)",
        _SINCE_2015,
        False,
        False,
        ("17th-a3", "2015", "2008-a3", "17th-2015", "2008-a3-2015"),
    ),
    Edition("bs7671-2018", "BS 7671:2018, 18th edition", _SINCE_2015, aliases=("18th", "2018", "18th-2018")),
    Edition(
        "bs7671-2018-a2-2022",
        "BS 7671:2018 with its second amendment (2022)",
        _SINCE_2015,
        aliases=("a2", "a2-2022", "2022", "2018-a2", "2018-a2-2022", "18th-a2", "18th-a2-2022", "bs7671-2018-a2"),
    ),
    Edition("iec60364", "IEC 60364", _ABROAD, aliases=("iec", "iec60364-6", "iec60364-4-41")),
)
"""Oldest first; `usual` is the one taken when none is named."""
USUAL = "bs7671-2018-a2-2022"


def find_edition(text: str) -> Edition | None:
    """The edition that a person means by a name such as `BS 7671:2018+A2:2022`, `17th` or `uk-bs7671-a2-2022`."""
    wanted = _plain(text)
    for edition in EDITIONS:
        if wanted in (edition.id, *edition.aliases):
            return edition
    return None


def known_editions() -> tuple[str, ...]:
    """The names of the editions, as a person may write them."""
    return tuple(edition.id for edition in EDITIONS)


def _plain(text: str) -> str:
    words = "".join(char if char.isalnum() else " " for char in text.casefold()).replace("edition", " ").split()
    joined = "-".join(word for word in words if word not in ("uk", "en"))
    for name in ("bs", "iec"):
        joined = joined.removeprefix(f"{name}-") if joined.startswith(f"{name}-") else joined
        if joined.startswith(("7671", "4293", "7288")):
            joined = f"bs{joined}"
        if joined.startswith("60364"):
            joined = f"iec{joined}"
    if joined.startswith("bs7671-a2"):
        joined = joined.replace("bs7671-a2", "bs7671-2018-a2", 1)
    return joined
