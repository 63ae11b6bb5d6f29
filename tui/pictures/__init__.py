"""Pictures of the work as plain text, drawn from the card and from what is recorded; no screen library in here."""
