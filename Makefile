# Two commands set everything up on a bare Debian machine with Python 3.11 or newer:
#   make demo    builds the demo practice and serves it on this computer
#   make test    installs browsers from Debian's packages if absent, runs everything

PYTHON ?= python3
VENV ?= .venv
BIN := $(VENV)/bin
DEMO_DAY := 2027-03-18
PORT ?= 8000

.PHONY: demo test lint lock lowest newest rule nightly faults elsewhere shots bench docs clean

$(BIN)/python:
	$(PYTHON) -m venv $(VENV) || (tools/need python3-venv && $(PYTHON) -m venv $(VENV))

PIP := $(BIN)/python -m pip --quiet --disable-pip-version-check install

$(VENV)/.installed: pyproject.toml | $(BIN)/python
	$(PIP) --editable .
	touch $@

# The versions that the tests were written with, each file by its hash; first what builds the rest,
# and uv, which brings the rest in a third of pip's time, or pip where uv finds no way to them.
LOCKED := tools/locked-build.txt tools/locked.txt
$(VENV)/.tested: pyproject.toml $(LOCKED) | $(BIN)/python
	$(PIP) --require-hashes --requirement tools/locked-build.txt
	$(BIN)/uv pip install --quiet --python $(BIN)/python --compile-bytecode --require-hashes \
	    --requirement tools/locked.txt --no-build-isolation \
	    || $(PIP) --require-hashes --requirement tools/locked.txt --no-build-isolation
	$(PIP) --no-deps --no-build-isolation --editable .
	touch $@ $(VENV)/.installed

demo: $(VENV)/.installed
	$(BIN)/sitegen preview --as-of $(DEMO_DAY) --port $(PORT)

# Three workers on two processors, since tests wait: for browsers, servers, locks. What is compiled
# is kept, whatever the environment says: each of them reads every file of tests.
test: lint
	$(BIN)/python -m compileall -q sitegen
	PYTHONDONTWRITEBYTECODE= $(BIN)/python -m pytest -n 3 --dist worksteal

lint: $(VENV)/.tested
	tools/test-needs
	$(BIN)/ruff check .
	$(BIN)/ruff format --check .
	$(BIN)/mypy
	node_modules/.bin/eslint --max-warnings 0 .

# The lowest versions that pyproject.toml allows, and the newest of all, on each Python that is here.
lowest newest: $(VENV)/.tested
	$(BIN)/python tools/versions $@

# One rule's tests and the shape of the whole: `make rule NAME=volume`.
rule: $(VENV)/.tested
	$(BIN)/python -m pytest tests/test_rule_$(NAME).py tests/test_golden.py tests/test_imports.py

# The newest versions within pyproject.toml's ranges, for every Python of 3.11 to 3.13.
lock: $(VENV)/.tested
	BIN=$(BIN) tools/lock

nightly: $(VENV)/.tested
	PROMISES=nightly $(BIN)/python -m pytest -n 2 --dist worksteal tests

# Runs that are killed, cut off, have no room, or come two at once; strangers' mail; changed bytes.
faults: $(VENV)/.tested
	PROMISES=nightly $(BIN)/python tests/faults.py

# As Windows and macOS would have it, as far as Linux can pretend; and what it can't.
elsewhere: $(VENV)/.tested
	PROMISES=nightly $(BIN)/python -m pytest tests/test_elsewhere.py
	$(BIN)/python tests/elsewhere.py

shots: $(VENV)/.tested
	$(BIN)/python tests/shots.py

bench: $(VENV)/.installed
	$(BIN)/python benchmarks/engine.py
	$(BIN)/python benchmarks/run.py --sizes 1,100,1000

docs: $(VENV)/.installed
	$(BIN)/sitegen rules > docs/rules.md
	$(BIN)/python -m sitegen.coach.fieldbook > docs/fields.md
	$(BIN)/python tools/care-sentences
	$(BIN)/python tools/returns

clean:
	rm -rf $(VENV) .sitegen-cache screenshots
