"""Between which conductors a part can be live: the pairs that a proof of dead has to ask about.

For: the prover's hidden world, which lets a live conductor show itself on any one of them alone.
Must never: be shortened to what a procedure asks; a pair that a procedure leaves out is what is looked for.
"""

from __future__ import annotations

from collections.abc import Mapping

PAIRS: Mapping[str, tuple[str, ...]] = {
    "one": ("L-N", "L-E", "N-E"),
    "three": ("L1-L2", "L2-L3", "L1-L3", "L1-N", "L2-N", "L3-N", "L1-E", "L2-E", "L3-E", "N-E"),
}
"""By number of phases (trade brief P1.9: three and ten pairs; trade pages on safe isolation, its sources 9 and 17)."""

LIVE_VOLTS = (50, 230)
"""Voltages that must show as such on any pair: where live begins for a.c. (from memory), and the nominal one."""
