"""One file a step; a step that landed is never edited."""
