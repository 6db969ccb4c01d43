# Halfdrop: `make` alone lists what can be asked for.
# PYTHON names the interpreter that .venv is made from: make PYTHON=python3.13 demo

PYTHON ?= python3
VENV := .venv
BIN := $(VENV)/bin
PIP_INSTALL := $(BIN)/python -m pip install --quiet --disable-pip-version-check
LOCK := $(BIN)/uv pip compile --quiet --universal --generate-hashes --python-version 3.11 \
	--custom-compile-command "make lock"

.DEFAULT_GOAL := help
.PHONY: help setup demo test check docs lock bench clean

help: ## List these targets.
	@echo "Halfdrop. Two commands do everything: make demo, make test."
	@echo
	@sed -n 's/^\([a-z]*\):[^#]*## \(.*\)$$/  make \1|\2/p' Makefile | awk -F'|' '{printf "%-14s%s\n", $$1, $$2}'

setup: $(VENV)/.runtime ## Make .venv with what Halfdrop needs to run.

demo: setup ## Set up, work out the demonstration class, say where the reports lie.
	$(BIN)/halfdrop demo --into demo-reports

test: $(VENV)/.dev ## Set up what the tests need and run them all (some: make test ARGS=tests/house).
	$(BIN)/python -m pytest -n 2 $(ARGS)

check: $(VENV)/.dev ## Style, types, import arrows, generated pages.
	$(BIN)/ruff check
	$(BIN)/ruff format --check
	$(BIN)/mypy
	$(BIN)/lint-imports
	$(BIN)/python -m tests.published.report --check docs/published.md

docs: $(VENV)/.dev ## Write the generated pages anew.
	$(BIN)/python -m tests.published.report --write docs/published.md

lock: $(VENV)/.dev ## Work out the lock files anew from pyproject.toml (newest allowed versions).
	$(LOCK) --upgrade pyproject.toml requirements/build.in --extra dev -o requirements/dev.txt
	$(LOCK) --upgrade pyproject.toml -c requirements/dev.txt -o requirements/runtime.txt
	$(LOCK) --upgrade requirements/build.in -c requirements/dev.txt -o requirements/build.txt

bench: $(VENV)/.dev ## Measure speed against named peers, as ratios within one run.
	$(BIN)/python -m benchmarks

clean: ## Remove .venv, caches and demo-reports.
	rm -rf $(VENV) demo-reports build dist .mypy_cache .ruff_cache .pytest_cache .hypothesis .import_linter_cache
	find src tests benchmarks -name __pycache__ -type d -prune -exec rm -rf {} +

# Set-up, each step once. A stamp is touched only when its step has wholly succeeded.

$(VENV)/.made: requirements/look_at_python.py
	@command -v $(PYTHON) >/dev/null 2>&1 || { echo "There is no $(PYTHON) here. Install Python 3.11 or newer" \
		"(Debian, Ubuntu: apt install python3 python3-venv), or name yours: make PYTHON=python3.12 ..."; exit 1; }
	@$(PYTHON) requirements/look_at_python.py
	$(PYTHON) -m venv $(VENV)
	@touch $@

$(VENV)/.runtime: $(VENV)/.made requirements/runtime.txt requirements/build.txt pyproject.toml
	$(PIP_INSTALL) --require-hashes -r requirements/runtime.txt -r requirements/build.txt
	$(PIP_INSTALL) --no-deps --no-build-isolation --editable .
	@touch $@

$(VENV)/.dev: $(VENV)/.runtime requirements/dev.txt
	$(PIP_INSTALL) --require-hashes -r requirements/dev.txt
	@touch $@
