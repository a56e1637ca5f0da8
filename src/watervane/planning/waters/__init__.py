"""Source water: what a report says, whom it suits, and how to mix another from it."""
