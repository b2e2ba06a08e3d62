# Each recipe carries a line of explanation after its ##; `make` alone prints them.

SHELL := /bin/bash
.SHELLFLAGS := -euo pipefail -c
.DEFAULT_GOAL := help
.NOTPARALLEL:

PY := .venv/bin/python
DEMO := tern-point-hood
LOCK := build/lock-venv/bin/python -m uv pip compile --quiet --generate-hashes \
        --no-emit-index-url --no-header --universal --python-version 3.11

# A Python of your own choice: make PYTHON=python3.12 demo
export PYTHON

.PHONY: help
help: ## print these lines
	@awk -F ':.*## ' '/^[a-z-]+:.*## /{printf "make %-8s %s\n", $$1, $$2}' Makefile

.PHONY: demo
demo: ## make the Tern Point hood, and the boat blanket from seven leftovers: patterns go into out/
	@tools/setup.sh run
	.venv/bin/pegwright make $(DEMO) --out out
	.venv/bin/pegwright make tern-point-boat-blanket --out out

.PHONY: studio
studio: ## start the studio, the local web app, and open it in the browser
	@tools/setup.sh run
	.venv/bin/pegwright studio

.PHONY: test
test: ## get everything the tests need, then check style, types and behaviour
	@tools/setup.sh system
	@$(MAKE) --no-print-directory lint
	$(PY) -m pytest -n auto --dist loadfile

.PHONY: lint
lint: ## check style and types only
	@tools/setup.sh test
	$(PY) -m ruff check .
	$(PY) -m ruff format --check .
	$(PY) -m mypy

.PHONY: bench
bench: ## measure speed and memory; the table is also written to out/bench.json
	@tools/setup.sh test
	$(PY) -m bench

.PHONY: lock
lock: ## write requirements/*.txt anew from requirements/*.in (newer versions: FLAGS=--upgrade)
	@test -x build/lock-venv/bin/uv || { python3 -m venv --clear build/lock-venv && \
		build/lock-venv/bin/python -m pip install --quiet --disable-pip-version-check uv; }
	$(LOCK) $(FLAGS) requirements/build.in -o requirements/build.txt
	$(LOCK) $(FLAGS) requirements/run.in -o requirements/run.txt
	$(LOCK) $(FLAGS) requirements/test.in -o requirements/test.txt

.PHONY: tongues
tongues: ## gather the messages of the sources, bring the catalogues up to date, and compile them
	@tools/setup.sh test
	$(PY) tools/tongues.py

.PHONY: docs
docs: ## build the docs site into out/docs; nothing of it is fetched from elsewhere
	@tools/setup.sh test
	$(PY) -m mkdocs build --quiet

.PHONY: clean
clean: ## remove everything that make made: .venv, out, build and the caches
	rm -rf .venv out build dist .mypy_cache .ruff_cache .pytest_cache .hypothesis .benchmarks
	rm -rf src/*.egg-info
	find src tests bench -name __pycache__ -type d -prune -exec rm -rf {} +
