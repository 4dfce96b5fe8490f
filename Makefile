# To start (Python 3.11 or newer, nothing to compile beforehand):
#   make install   builds .venv and installs tanwright into it
#   make run       does that and opens the yard in the browser, with a demo on the first start
# To change it: make test (all that CI runs), make format, make bench, make soak, make lock.
# Options of the yard: make run SERVE="--lan --port 8080".

PYTHON ?= python3
VENV := .venv
BIN := $(VENV)/bin
PIP := $(BIN)/python -m pip --disable-pip-version-check
PIP_INSTALL := $(PIP) install --quiet --require-hashes --only-binary :all:

LOCK := --quiet --upgrade --universal --python-version 3.11 --fork-strategy fewest --only-binary :all: \
  --generate-hashes --no-emit-index-url --no-emit-find-links --no-annotate --no-header --no-strip-extras

.PHONY: help install run plan test lint types imports system pytest coverage bench skill soak docs screenshots format \
  lock clean
.DEFAULT_GOAL := help

help:  ## this list
	@grep -E '^[a-z-]+:.*##' $(MAKEFILE_LIST) | sed -E 's/:.*## /\t/' | expand -t 12

install: $(VENV)/.installed  ## make .venv and install tanwright into it
	@echo "Ready: $(BIN)/tanwright --help"

run: install  ## install, then open the yard (a new one holds the demo); Ctrl-C closes it
	@$(BIN)/tanwright serve --demo $(SERVE)

plan: install  ## install, then the engine alone on the example sheet
	$(BIN)/tanwright plan examples/first-sheet.toml

test: lint types imports pytest  ## everything that CI runs

system:  ## install Chromium and PostgreSQL for the tests where they are missing (Debian, as root)
	@.ci/system

lint: $(VENV)/.installed-dev
	$(BIN)/ruff check .
	$(BIN)/ruff format --check .

types: $(VENV)/.installed-dev
	$(BIN)/mypy

imports: $(VENV)/.installed-dev
	$(BIN)/lint-imports

pytest: $(VENV)/.installed-dev system
	$(BIN)/python -m pytest

coverage: $(VENV)/.installed-dev system  ## the tests with coverage and its floor (takes about twice as long)
	$(BIN)/python -m pytest --cov --cov-report=term

skill: $(VENV)/.installed-dev  ## the long checks of belief; its table is kept in docs/method (takes long)
	$(BIN)/python -m benchmarks.skill

bench: $(VENV)/.installed-dev  ## the table of speeds; kept in docs/method/speed.md (some minutes)
	$(BIN)/python -m benchmarks.speed

soak: $(VENV)/.installed-dev  ## 50 phones, 200 kills, weights of the pages: the long form (takes long)
	$(BIN)/python -m benchmarks.yard

docs: $(VENV)/.installed  ## write the command-line reference and the examples' output anew
	$(BIN)/python docs/make_cli_reference.py
	$(BIN)/python docs/console_blocks.py

screenshots: $(VENV)/.installed-dev system  ## take the pictures of the yard's guide anew, from the demo
	$(BIN)/python docs/make_screenshots.py

format: $(VENV)/.installed-dev  ## let ruff lay out and mend what it can
	$(BIN)/ruff check --fix .
	$(BIN)/ruff format .

lock: .lock-venv/bin/uv pyproject.toml  ## pin every version anew, with hashes, for every system
	.lock-venv/bin/uv pip compile $(LOCK) --group build -o requirements/build.txt
	.lock-venv/bin/uv pip compile $(LOCK) -c requirements/build.txt -o requirements/runtime.txt pyproject.toml
	.lock-venv/bin/uv pip compile $(LOCK) -c requirements/build.txt -c requirements/runtime.txt \
	  --group dev -o requirements/dev.txt pyproject.toml

clean:  ## remove what make made
	rm -rf $(VENV) .lock-venv .mypy_cache .ruff_cache .pytest_cache .hypothesis \
	  .import_linter_cache .coverage

$(BIN)/python:
	@$(PYTHON) -c 'import sys; sys.exit(sys.version_info < (3, 11))' || { \
	  echo "tanwright needs Python 3.11 or newer; name one: make install PYTHON=python3.12" >&2; exit 2; }
	$(PYTHON) -m venv $(VENV)

$(VENV)/.installed: pyproject.toml requirements/build.txt requirements/runtime.txt | $(BIN)/python
	$(PIP_INSTALL) -r requirements/build.txt -r requirements/runtime.txt
	$(PIP) install --quiet --no-deps --no-build-isolation --editable .
	@touch $@

$(VENV)/.installed-dev: requirements/dev.txt $(VENV)/.installed
	$(PIP_INSTALL) -r requirements/dev.txt
	@touch $@

.lock-venv/bin/uv:
	$(PYTHON) -m venv .lock-venv
	.lock-venv/bin/python -m pip --disable-pip-version-check install --quiet uv
