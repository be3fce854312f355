# Two commands do everything on a fresh machine with Python 3.11+ and pip: make demo, make test.
PYTHON ?= python3
BIN = .venv/bin

.PHONY: demo test check-all test-slow clean

demo: .venv/.demo
	$(BIN)/hoopwright demo demo-car

test: .venv/.test
	$(BIN)/ruff check .
	$(BIN)/ruff format --check .
	$(BIN)/mypy
	$(BIN)/python -m pytest -n auto

# Everything, also what takes minutes or fetches a data set from the package registry.
check-all: test test-slow

# A workbench and a page whose picture is drawn without a graphics card are two cores' work: one such test at a time.
test-slow: .venv/.test
	$(BIN)/python -m pytest -n auto -m "slow or data or memory" --ignore=tests/web
	$(BIN)/python -m pytest -m "slow or data or memory" tests/web

VIEW = $(wildcard viewport/src/*) $(wildcard viewport/src-screen/*) viewport/package-lock.json viewport/build.mjs

.venv/.demo: pyproject.toml constraints.txt $(VIEW)
	$(PYTHON) -m venv .venv
	$(BIN)/python -m pip install --quiet -c constraints.txt -e ".[all]"
	touch $@

.venv/.test: pyproject.toml constraints.txt $(VIEW)
	$(PYTHON) -m venv .venv
	$(BIN)/python -m pip install --quiet -c constraints.txt -e ".[all,test]"
	touch $@ .venv/.demo

clean:
	rm -rf .venv demo-car
