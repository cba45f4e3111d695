# Two commands set everything up on a bare Debian machine with Python 3.11 or newer:
#   make demo    builds the demo practice and serves it on this computer
#   make test    installs browsers from Debian's packages if absent, runs everything

PYTHON ?= python3
VENV ?= .venv
BIN := $(VENV)/bin
DEMO_DAY := 2027-03-18
PORT ?= 8000

.PHONY: demo test nightly shots bench docs clean

$(BIN)/python:
	$(PYTHON) -m venv $(VENV) || (tools/need python3-venv && $(PYTHON) -m venv $(VENV))

$(VENV)/.installed: pyproject.toml | $(BIN)/python
	$(BIN)/python -m pip install --quiet --disable-pip-version-check --editable .
	touch $@

$(VENV)/.tested: pyproject.toml | $(BIN)/python
	$(BIN)/python -m pip install --quiet --disable-pip-version-check --editable '.[test,publish]'
	touch $@

demo: $(VENV)/.installed
	$(BIN)/sitegen preview --as-of $(DEMO_DAY) --port $(PORT)

test: $(VENV)/.tested
	tools/test-needs
	$(BIN)/ruff check .
	$(BIN)/ruff format --check .
	$(BIN)/mypy
	$(BIN)/python -m compileall -q sitegen
	$(BIN)/python -m pytest -n 2

nightly: $(VENV)/.tested
	PROMISES=nightly $(BIN)/python -m pytest tests/test_promises.py

shots: $(VENV)/.tested
	$(BIN)/python tests/shots.py

bench: $(VENV)/.installed
	$(BIN)/python benchmarks/engine.py
	$(BIN)/python benchmarks/run.py --sizes 1,100,1000

docs: $(VENV)/.installed
	$(BIN)/sitegen rules > docs/rules.md
	$(BIN)/python -m sitegen.coach.fieldbook > docs/fields.md

clean:
	rm -rf $(VENV) .sitegen-cache screenshots
