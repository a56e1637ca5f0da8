"""Exit codes, as ``docs/cli.md`` promises them."""

FINE = 0
INTERNAL_FAILURE = 1
BAD_INPUT = 2
DO_NOT_LEAN_ON_IT = (
    3  # a forecast was made, but too few members agree with the readings, or a deep fit disagrees
)
INTERRUPTED = 130
