"""Plans: what a choice would lead to."""
