# Two commands do everything on a machine with only Python (3.11 or newer) and make:
#   make demo   plans the morning of the embedded demo and says where its maps lie
#   make test   checks the house and runs every test
PYTHON ?= python3
BIN := .venv/bin
unexport PYTHONDONTWRITEBYTECODE  # modules that stay compiled between runs load in a third of the time
UV := $(BIN)/uv sync --quiet --locked --inexact

.PHONY: demo test lint docs speed clean
.DELETE_ON_ERROR:

$(BIN)/uv:
	@$(PYTHON) -c 'import sys; sys.exit(sys.version_info < (3, 11))' || \
		{ echo "hushwalk needs Python 3.11 or newer: make PYTHON=python3.12 ..."; exit 2; }
	@$(PYTHON) -m venv .venv || { echo "python3 cannot make a venv here (Debian: apt-get install python3-venv)"; exit 2; }
	@$(BIN)/python -m ensurepip -q >/dev/null 2>&1 || true
	@$(BIN)/python -m pip install --quiet --disable-pip-version-check uv

.venv/run.stamp: uv.lock pyproject.toml | $(BIN)/uv
	@echo "installing what hushwalk needs (once) ..."
	@$(UV) --no-dev
	@touch $@

.venv/dev.stamp: uv.lock pyproject.toml | $(BIN)/uv
	@echo "installing what the tests need (once) ..."
	@$(UV)
	@touch $@ .venv/run.stamp

demo: .venv/run.stamp
	@$(BIN)/hushwalk plan data_demo/trip.toml --steps 3000 --proof-steps 12 --out maps/demo

lint: .venv/dev.stamp
	$(BIN)/ruff check .
	$(BIN)/ruff format --check .
	$(BIN)/mypy
	$(BIN)/lint-imports --no-cache

test: lint
	@$(BIN)/python -c 'from hushwalk.planning.warm_up import warm_up; warm_up()' # compiled once, not by both processes
	$(BIN)/python -m pytest -n 2 --dist loadgroup

speed: .venv/dev.stamp
	$(BIN)/python -m pytest tests/speed --benchmark-enable -s

.venv/docs.stamp: uv.lock pyproject.toml | $(BIN)/uv
	@echo "installing what the site needs (once) ..."
	@$(UV) --group docs
	@touch $@ .venv/dev.stamp .venv/run.stamp

docs: .venv/docs.stamp
	$(BIN)/python docs/make_sources_page.py
	$(BIN)/python -m sphinx -q -W --keep-going -b html -c docs/site docs out/site
	@echo "the site lies in out/site/index.html"

clean:
	rm -rf .venv .mypy_cache .ruff_cache .import_linter_cache .hypothesis
