"""A Textual application that does nothing: the peer that start-up is measured against."""

from typing import ClassVar

from textual.app import App, ComposeResult
from textual.binding import BindingType
from textual.widgets import Static


class Minimal(App[None]):
    """One line, and one key that changes it."""

    BINDINGS: ClassVar[list[BindingType]] = [("f1", "say", "Say")]

    def compose(self) -> ComposeResult:
        """Mount the one line."""
        yield Static("ready to start", id="line")

    def action_say(self) -> None:
        """Change the line."""
        self.query_one("#line", Static).update("answered a key")


if __name__ == "__main__":
    Minimal().run()
