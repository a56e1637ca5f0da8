"""Forecasts beside what was measured: kept logs of keepers and published start-up times.

Run as ``python -m validation``; it rewrites ``docs/validation.md`` and its pictures from
``validation/data``.
"""
