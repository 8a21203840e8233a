# Two commands: `make run` shows the three desks with the demo, `make test` checks everything.
# Needed beforehand: Python 3.11 or newer with its venv module, and make. All else goes into .venv.

UV_VERSION := 0.13.9
VENV := .venv
BIN := $(VENV)/bin
STAMP := $(VENV)/.installed
WORKERS ?= 2

export KITWRIGHT_PORT ?= 8000
# uv takes the Python that is here, and reads no settings from around the project.
export UV_PYTHON_DOWNLOADS := never
export PIP_DISABLE_PIP_VERSION_CHECK := 1

.PHONY: setup run test killed lint bench format clean

setup: $(STAMP)

$(STAMP): pyproject.toml uv.lock Makefile .ci/venv
	@.ci/venv $(VENV)
	@$(BIN)/python -m pip install --quiet "uv==$(UV_VERSION)"
	@$(BIN)/uv sync --quiet --frozen --all-extras --python $(BIN)/python
	@touch $@

run: setup
	@$(BIN)/kitwright serve --demo

test: lint
	@.ci/browser $(BIN)/python
	@.ci/printer $(BIN)/python
	$(BIN)/pytest -n $(WORKERS) --dist loadfile

killed: setup
	TEST_KILLED_ISSUES=500 $(BIN)/pytest -q -s tests/faults/test_eight_processes.py

lint: setup
	$(BIN)/ruff check .
	$(BIN)/ruff format --check .
	$(BIN)/mypy
	$(BIN)/lint-imports

format: setup
	$(BIN)/ruff format .
	$(BIN)/ruff check --fix .

bench: setup
	@$(BIN)/python -m tests.bench

clean:
	rm -rf $(VENV) build dist .mypy_cache .pytest_cache .ruff_cache .import_linter_cache .hypothesis
