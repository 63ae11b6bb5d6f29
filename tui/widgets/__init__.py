"""The one sheet that every screen is drawn on, and the blocks that stand on it."""
