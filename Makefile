# Watervane. Needs Python 3.11 or later and make; everything else is fetched into .venv.
#
#   make demo    set up what running needs, then open the pages on an invented club
#   make test    set up what testing needs, then every check short of the slow ones
#
# Installing is repeated only when a lock or pyproject.toml changes (the stamps say so).

PYTHON ?= $(shell command -v python3.11 || command -v python3 || command -v python)
WORKERS ?= 2
PYTEST_ARGS ?=

VENV := .venv
BIN := $(VENV)/bin
PIP := $(BIN)/python -m pip --disable-pip-version-check --quiet
INSTALL_SELF := $(PIP) install --no-deps --no-build-isolation --editable .

CREATED := $(VENV)/.stamp-created
RUNNABLE := $(VENV)/.stamp-run
TESTABLE := $(VENV)/.stamp-dev

.DEFAULT_GOAL := help
.PHONY: help demo demo-tank test test-all unit lint format wheel-test bench validation evidence catalogue club-results screenshots locks setup clean

help:  ## list the targets
	@sed -n 's/^\([a-z-]*\):.*## /\1	/p' $(MAKEFILE_LIST) | expand -t 14

demo: $(RUNNABLE)  ## set up and open the pages on an invented club; in CI print its rounds
	@$(BIN)/watervane club

demo-tank: $(RUNNABLE)  ## set up and foretell an invented tank in the terminal, on day 12 and 24
	@$(BIN)/watervane demo

test: lint unit  ## set up, check style, types and floors, run the tests but the slow ones

unit: $(TESTABLE)  ## the tests alone, but the slow ones
	$(BIN)/python -m pytest -n $(WORKERS) --dist loadfile -m "not slow" $(PYTEST_ARGS)

test-all: lint  ## as test, with the slow ones
	$(BIN)/python -m pytest -n $(WORKERS) --dist loadfile $(PYTEST_ARGS)

lint: $(TESTABLE)  ## style, format, types and the direction of imports
	$(BIN)/ruff check
	$(BIN)/ruff format --check
	$(BIN)/mypy
	$(BIN)/lint-imports

format: $(TESTABLE)  ## mend what can be mended by itself
	$(BIN)/ruff check --fix
	$(BIN)/ruff format

wheel-test: $(TESTABLE)  ## build the wheel, install it elsewhere, run it
	$(BIN)/python -m pytest tests/house/test_wheel.py $(PYTEST_ARGS)

bench: $(TESTABLE)  ## measure speed and memory, rewrite docs/benchmarks.md
	$(BIN)/python -m benchmarks

evidence: $(TESTABLE)  ## hold the posterior against simulated truths (an hour), rewrite docs/evidence.md
	$(BIN)/python -m evidence

catalogue: $(TESTABLE)  ## merge the two reviews of animals, rewrite their table and docs/catalogue.md
	$(BIN)/python -m catalogue

validation: $(TESTABLE)  ## foretell the kept logs, rewrite docs/validation.md
	$(BIN)/python -m validation

club-results: $(TESTABLE)  ## foretell the demo's tanks anew (ten minutes), for it to open with
	$(BIN)/python -m showing.club_results

screenshots: $(TESTABLE)  ## every page of the demo by day and by night, into out/screenshots
	$(BIN)/python -m showing

setup: $(TESTABLE)  ## only set up what testing needs

# No address of any registry is written into the locks: they install from whichever one pip is
# set up to use.
LOCK := $(BIN)/uv pip compile --quiet --universal --generate-hashes --python-version 3.11 \
	--no-emit-index-url --no-emit-find-links --custom-compile-command "make locks" pyproject.toml

locks: $(CREATED)  ## renew both locks from pyproject.toml
	test -x $(BIN)/uv || $(PIP) install uv
	$(LOCK) --upgrade --extra build --output-file requirements.lock
	$(LOCK) --upgrade --extra dev --constraint requirements.lock --output-file requirements-dev.lock

clean:  ## remove the environment and everything generated
	rm -rf $(VENV) dist build out .pytest_cache .mypy_cache .ruff_cache .hypothesis .import_linter_cache
	find . -name __pycache__ -type d -prune -exec rm -rf {} +

$(CREATED):
	@test -n "$(PYTHON)" || { echo "No Python found. Install Python 3.11 or later, then run make again."; exit 2; }
	@"$(PYTHON)" -c 'import sys; sys.exit(sys.version_info < (3, 11))' || \
		{ echo "$(PYTHON) is older than 3.11. Install Python 3.11 or later, or name one: make PYTHON=/path/to/python3.11"; exit 2; }
	@"$(PYTHON)" -c 'import ensurepip, venv' || \
		{ echo "$(PYTHON) cannot make environments. On Debian and Ubuntu: apt-get install python3-venv"; exit 2; }
	"$(PYTHON)" -m venv $(VENV)
	@touch $@

$(RUNNABLE): requirements.lock pyproject.toml $(CREATED)
	@echo "Setting up once; a few minutes on a slow line."
	@$(PIP) install --require-hashes --requirement requirements.lock
	@$(INSTALL_SELF)
	@touch $@

# The development lock holds the run-time one, so a testable environment is a runnable one.
$(TESTABLE): requirements-dev.lock requirements.lock pyproject.toml $(CREATED)
	@echo "Setting up for the tests once; a few minutes on a slow line."
	@$(PIP) install --require-hashes --requirement requirements-dev.lock
	@$(INSTALL_SELF)
	@touch $(RUNNABLE) $@
