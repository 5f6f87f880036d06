# Each command makes the machine ready first: .venv, locked dependencies, system packages.
PYTHON ?= python3
READY = $(PYTHON) -I studio/bootstrap.py

.PHONY: ready demo test lint bench

ready: ; @$(READY) test -c ""
demo: ; @$(READY) run manage.py demo
test: ; @$(READY) test -m tests $(ARGS)
lint: ; @$(READY) test -m tests.lint
bench: ; @$(READY) test -m tests.benchmarks $(ARGS)
