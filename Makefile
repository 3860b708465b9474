# Two commands matter: `make demo` and `make test`. Each sets up all it needs in .venv and runs.
PYTHON ?= python3
VENV := .venv
BIN := $(VENV)/bin

.PHONY: demo test check lock clean

demo: $(VENV)/.run-ready
	$(BIN)/eyeplane demo --out demo-out

test: $(VENV)/.dev-ready
	PATH="$(CURDIR)/$(BIN):$$PATH" ./check

$(BIN)/python:
	@$(PYTHON) -c 'import sys; sys.exit(0 if (3, 11) <= sys.version_info[:2] < (3, 14) else "eyeplane needs Python 3.11, 3.12 or 3.13; this is " + sys.version.split()[0] + ". Say which to use, for example: make PYTHON=python3.12 test")'
	$(PYTHON) -m venv $(VENV)

$(VENV)/.run-ready: $(BIN)/python requirements/run.txt pyproject.toml
	$(BIN)/python -m pip install --quiet --disable-pip-version-check --require-hashes -r requirements/run.txt
	$(BIN)/python -m pip install --quiet --disable-pip-version-check --no-deps --no-build-isolation --editable .
	touch $@

$(VENV)/.dev-ready: $(BIN)/python requirements/dev.txt pyproject.toml
	$(BIN)/python -m pip install --quiet --disable-pip-version-check --require-hashes -r requirements/dev.txt
	$(BIN)/python -m pip install --quiet --disable-pip-version-check --no-deps --no-build-isolation --editable .
	touch $@ $(VENV)/.run-ready

# Needs uv on the PATH; writes versions and hashes only.
LOCK = uv pip compile --universal --python-version 3.11 --generate-hashes --no-emit-index-url --no-header --no-annotate --quiet pyproject.toml
lock:
	$(LOCK) --extra heic --group dev -o requirements/dev.txt
	$(LOCK) --group build --constraint requirements/dev.txt -o requirements/run.txt

clean:
	rm -rf $(VENV) demo-out .mypy_cache .ruff_cache .pytest_cache
