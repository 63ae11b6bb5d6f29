"""A small true world beside the record: what is really on, and whether the indicator really works.

It answers the proofs and the pairs as the real things would, and it says whether a hand touches something live.
It knows nothing of facts, gates or goals.
"""

from dataclasses import dataclass, field


@dataclass
class TrueWorld:
    """Sources that are really on, a feed that nobody listed, and the indicator's real state."""

    on: dict[str, bool]
    hidden_feed: bool = False
    indicator_works: bool = True
    harm: list[str] = field(default_factory=list)

    def busbar_is_live(self) -> bool:
        """True while any source that can feed the board is on."""
        return self.hidden_feed or any(self.on.values())

    def indicator_shows(self) -> bool:
        """What the indicator shows on a pair at the place of work."""
        return self.busbar_is_live() and self.indicator_works

    def isolated(self, source: str) -> None:
        """Somebody opened the isolator and locked it."""
        self.on[source] = False

    def given_back(self, source: str) -> None:
        """Somebody took the lock off and closed the isolator."""
        self.on[source] = True

    def touched(self, what: str) -> None:
        """A bare hand is on a conductor."""
        if self.busbar_is_live():
            self.harm.append(what)
