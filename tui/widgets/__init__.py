"""Light widgets that are mounted once and changed in place."""
