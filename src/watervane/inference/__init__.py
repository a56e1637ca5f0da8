"""Priors, the likelihood of readings, and members weighed by them."""
