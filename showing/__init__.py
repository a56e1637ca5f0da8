"""What others are shown: screenshots of every page, and what the demo opens with."""
