# Two commands: `make bench` starts the bench book, `make test` proves it.
PYTHON ?= python3
VENV := .venv
BIN := $(VENV)/bin
export UV_PYTHON_DOWNLOADS = never

.PHONY: bench test soak benchmark pictures docs requirements clean

bench: $(VENV)/.bench
	@$(BIN)/asfound bench

test: $(VENV)/.dev
	@sh .ci/system-packages
	$(BIN)/ruff check .
	$(BIN)/ruff format --check .
	$(BIN)/mypy
	$(BIN)/lint-imports
	$(BIN)/python -m pytest -n 2 -m "not soak"

soak: $(VENV)/.dev
	@sh .ci/system-packages
	$(BIN)/python -m pytest -m soak

benchmark: $(VENV)/.dev
	$(BIN)/python -m benchmarks

pictures: $(VENV)/.dev
	$(BIN)/python -m tools.pictures build/pictures

docs: $(VENV)/.dev
	$(BIN)/python tools/commands.py
	$(BIN)/python tools/schemas.py
	$(BIN)/python tools/routes.py
	$(BIN)/python tools/readme.py

requirements: $(VENV)/.dev
	$(BIN)/uv pip compile -q --no-header --no-annotate --no-emit-index-url --python-version 3.11 pyproject.toml -o requirements.txt
	$(BIN)/uv pip compile -q --no-header --no-annotate --no-emit-index-url --python-version 3.11 --extra dev pyproject.toml -o requirements-dev.txt

clean:
	rm -rf $(VENV) .mypy_cache .ruff_cache .pytest_cache .import_linter_cache

# uv installs in two seconds what takes pip thirty; where it cannot be had, pip does.
$(VENV)/bin/python:
	@$(PYTHON) -c 'import sys; sys.exit(sys.version_info < (3, 11))' || \
		{ echo "asfound needs Python 3.11 or later; name one: make PYTHON=/path/to/python3.11"; exit 1; }
	@$(PYTHON) -m venv $(VENV) || { echo "Python's venv is missing: on Debian, apt install python3-venv"; exit 1; }
	@$(BIN)/python -m pip install -q --disable-pip-version-check uv || true

define install
	@if [ -x $(BIN)/uv ]; then \
		$(BIN)/uv pip install -q --compile-bytecode --python $(BIN)/python -r $(1) && \
		$(BIN)/uv pip install -q --python $(BIN)/python --no-deps -e . ; \
	else \
		$(BIN)/python -m pip install -q --disable-pip-version-check -r $(1) && \
		$(BIN)/python -m pip install -q --disable-pip-version-check --no-deps -e . ; \
	fi
	@$(BIN)/python -m compileall -q src
	@touch $@
endef

$(VENV)/.bench: $(VENV)/bin/python requirements.txt pyproject.toml
	@echo "Setting up in $(VENV) (first time only)"
	$(call install,requirements.txt)

$(VENV)/.dev: $(VENV)/bin/python requirements-dev.txt pyproject.toml
	$(call install,requirements-dev.txt)
	@touch $(VENV)/.bench
