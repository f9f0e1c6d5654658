# Two commands a planner needs: `make lab` and `make test`. Each does its own set-up in .venv.
PYTHON ?= python3
BIN := .venv/bin
PORT ?= 8888

.PHONY: lab test lint benchmark soak clean

# The stamp is newer than pyproject.toml when everything is installed.
.venv/installed: pyproject.toml
	$(PYTHON) -c 'import sys; sys.exit("heritagemove needs Python 3.11 or newer") if sys.version_info < (3, 11) else None'
	$(PYTHON) -m venv .venv
	$(BIN)/python -m pip install --quiet --disable-pip-version-check -e '.[test]'
	@touch .venv/installed

# Root (in a container) must say so to JupyterLab; an ordinary user must not.
lab: .venv/installed
	@echo "Opening the decision notebook with the demo data; the address is printed below. Stop with Ctrl-C."
	$(BIN)/jupyter lab --port=$(PORT) --ServerApp.root_dir=. $$([ "$$(id -u)" = 0 ] && echo --allow-root --no-browser) \
	  --LabApp.default_url=/lab/tree/notebooks/decision.ipynb

# The committee's pages, without code; Voila comes with the extra `present`, its template with the package.
.venv/presents: .venv/installed
	$(BIN)/python -m pip install --quiet --disable-pip-version-check -e '.[present]'
	@touch .venv/presents

present: .venv/presents
	@echo "Opening the committee's presentation; the address is printed below. Stop with Ctrl-C."
	JUPYTER_PATH=heritagemove/presentation $(BIN)/voila notebooks/committee.ipynb --template=heritagemove --port=$(PORT) \
	  --Voila.ip=127.0.0.1 --MappingKernelManager.transport_encryption=auto $$([ "$$(id -u)" = 0 ] && echo --no-browser)

test: .venv/installed
	$(BIN)/ruff check .
	@$(BIN)/python -c 'import shutil; found = next(filter(None, map(shutil.which, ("chromium", "chromium-browser", "google-chrome"))), None); print("Browser tests: run with", found) if found else print("Browser tests: skipped, no Chromium found")'
	$(BIN)/python -m pytest

benchmark: .venv/installed
	$(BIN)/python -m pip install --quiet --disable-pip-version-check -e '.[benchmark]'
	$(BIN)/python -m pytest tests/benchmark -m benchmark

soak: .venv/installed
	$(BIN)/python -m pytest tests/benchmark -m soak

lint: .venv/installed
	$(BIN)/ruff check .

clean:
	rm -rf .venv build dist *.egg-info
