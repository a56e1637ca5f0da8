"""Measurements of speed and memory, as ratios within one run."""
