"""Advice: what would help to know, and to do."""
