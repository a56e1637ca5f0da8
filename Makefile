# Two commands matter: `make demo` and `make test`. Each sets up what it needs.
PYTHON ?= python3
VENV := .venv
BIN := $(VENV)/bin
RUN := $(VENV)/.stamp-run
DEV := $(VENV)/.stamp-dev
TESTS ?= tests

.PHONY: help demo test lint format unit wheel-test bench validation locks clean

help:
	@echo "make demo        set up and foretell an invented tank"
	@echo "make test        set up, lint, type-check and run the tests"
	@echo "make lint        ruff, mypy, import contracts"
	@echo "make bench       measure speed, write docs/benchmarks.md"
	@echo "make validation  run the keepers' logs, write docs/validation.md"
	@echo "make locks       renew the hash-pinned locks (needs uv)"

$(BIN)/python:
	@$(PYTHON) -c 'import sys; sys.exit(sys.version_info < (3, 11))' || \
	  { echo "Watervane needs Python 3.11 or later; set PYTHON=/path/to/python3.11"; exit 2; }
	$(PYTHON) -m venv $(VENV)

$(RUN): requirements.lock pyproject.toml | $(BIN)/python
	@echo "Setting up (once; a few minutes on a slow line) ..."
	@if [ ! -e $(DEV) ]; then \
	  $(BIN)/python -m pip install --quiet --disable-pip-version-check --require-hashes -r requirements.lock; \
	  $(BIN)/python -m pip install --quiet --disable-pip-version-check --no-deps --no-build-isolation -e .; fi
	@touch $@

$(DEV): requirements-dev.lock requirements.lock pyproject.toml | $(BIN)/python
	@echo "Setting up for tests (once) ..."
	@$(BIN)/python -m pip install --quiet --disable-pip-version-check --require-hashes -r requirements-dev.lock
	@$(BIN)/python -m pip install --quiet --disable-pip-version-check --no-deps --no-build-isolation -e .
	@touch $@ $(RUN)

demo: $(RUN)
	@$(BIN)/watervane demo

lint: $(DEV)
	$(BIN)/ruff check src tests benchmarks
	$(BIN)/ruff format --check src tests benchmarks
	$(BIN)/mypy
	$(BIN)/lint-imports

format: $(DEV)
	$(BIN)/ruff check --fix src tests benchmarks
	$(BIN)/ruff format src tests benchmarks

unit: $(DEV)
	$(BIN)/python -m pytest -n 2 --dist loadfile -m "not slow" $(TESTS)

test: lint unit

wheel-test: $(DEV)
	$(BIN)/python -m pytest tests/house/test_wheel.py

bench: $(DEV)
	$(BIN)/python -m benchmarks

validation: $(DEV)
	$(BIN)/python -m watervane.validation

locks: $(DEV)
	$(BIN)/uv pip compile --quiet --universal --generate-hashes --no-emit-index-url --python-version 3.11 \
	  --extra build --no-header -o requirements.lock pyproject.toml
	$(BIN)/uv pip compile --quiet --universal --generate-hashes --no-emit-index-url --python-version 3.11 \
	  --extra build --extra dev --no-header -o requirements-dev.lock pyproject.toml

clean:
	rm -rf $(VENV) .pytest_cache .mypy_cache .ruff_cache .hypothesis build dist out
