"""What comes from outside with ill will or by mishap: only our error, at once, and nothing raw on the terminal."""
