# Two commands a planner needs: `make lab` and `make test`. Each does its own set-up in .venv.
PYTHON ?= python3
BIN := .venv/bin
PORT ?= 8888

LOCK ?= requirements.lock

.PHONY: lab present test test-long lint columns benchmark coverage soak matrix lock audit clean

# The stamp is newer than pyproject.toml and the lock when everything is installed. With the lock every file is
# the one whose hash is written there; NEWEST=1 takes the newest versions that pyproject.toml allows instead.
.venv/installed: pyproject.toml $(wildcard requirements.lock)
	$(PYTHON) -c 'import sys; sys.exit("heritagemove needs Python 3.11 or newer") if sys.version_info < (3, 11) else None'
	$(PYTHON) -m venv .venv
	if [ -f requirements.lock ] && [ -z "$(NEWEST)" ]; then \
	  $(BIN)/python -m pip install --quiet --disable-pip-version-check --require-hashes -r requirements.lock && \
	  $(BIN)/python -m pip install --quiet --disable-pip-version-check --no-deps --no-build-isolation -e .; \
	else $(BIN)/python -m pip install --quiet --disable-pip-version-check -e '.[test]'; fi
	@touch .venv/installed

# The clone is its own folder: nothing is laid out in it.
lab: .venv/installed
	$(BIN)/python -m heritagemove lab --folder . --port $(PORT)

# The committee's pages, without code; Voila comes with the extra `present`, its template with the package.
.venv/presents: .venv/installed
	$(BIN)/python -m pip install --quiet --disable-pip-version-check -e '.[present]'
	@touch .venv/presents

present: .venv/presents
	$(BIN)/python -m heritagemove present --folder . --port $(PORT)

# Files in their order, not those of many tests first: browser tests are few, take longest and stand in front.
test: .venv/installed
	$(BIN)/ruff check .
	$(BIN)/lint-imports --no-cache
	@$(BIN)/python -c 'import shutil; found = next(filter(None, map(shutil.which, ("chromium", "chromium-browser", "google-chrome"))), None); print("Browser tests: run with", found) if found else print("Browser tests: skipped, no Chromium found")'
	$(BIN)/python -m pytest -n auto --dist loadfile --no-loadscope-reorder

# What takes minutes: every notebook from a clean kernel, 2,100 damaged museums, 500 killed writers.
test-long: .venv/installed
	$(BIN)/python -m pytest -n auto --dist loadfile --no-loadscope-reorder -m long

# data/COLUMNS.md, from what the row models say of each column.
columns: .venv/installed
	$(BIN)/python -m heritagemove.museum.column_tables > data/COLUMNS.md

benchmark: .venv/installed
	$(BIN)/python -m pip install --quiet --disable-pip-version-check -e '.[benchmark]'
	$(BIN)/python -m pytest tests/benchmark tests/browser/test_speed.py -m benchmark

soak: .venv/installed
	$(BIN)/python -m pytest tests/benchmark tests/property tests/unit/test_starter.py -m soak

# Which branches of the rooms that read and write a planner's files no test takes.
coverage: .venv/installed
	$(BIN)/python -m pip install --quiet --disable-pip-version-check -e '.[coverage]'
	$(BIN)/python -m coverage run --branch --source=heritagemove/files,heritagemove/museum,heritagemove/editing \
	  -m pytest tests/unit tests/tables tests/property
	$(BIN)/python -m coverage report --show-missing --skip-covered

# Same numbers on numpy's oldest and newest version, other threads, time zones, languages and folder names.
matrix: .venv/installed
	$(BIN)/python -m pytest tests/matrix -m matrix

# One file for Linux, macOS and Windows, Python 3.11 to 3.13; no registry address and no local path gets in.
lock:
	$(PYTHON) -m venv .tools && .tools/bin/python -m pip install --quiet --disable-pip-version-check uv
	echo 'hatchling\neditables' | .tools/bin/uv pip compile pyproject.toml - --extra test --universal --python-version 3.11 \
	  --generate-hashes --no-header --no-annotate --no-emit-index-url --no-emit-find-links --quiet -o requirements.lock

# --strict, since without it what cannot be looked up is skipped and all is called well.
audit:
	$(PYTHON) -m venv .tools && .tools/bin/python -m pip install --quiet --disable-pip-version-check pip-audit
	.tools/bin/pip-audit --strict --require-hashes --disable-pip -r $(LOCK) $(AUDIT)

lint: .venv/installed
	$(BIN)/ruff check .
	$(BIN)/lint-imports --no-cache

clean:
	rm -rf .venv .tools build dist *.egg-info
