# Floorward: the commands a person types. Everything installs into .venv; nothing else is touched.
PY   ?= python3
V    := .venv
BIN  := $(V)/bin
PORT ?= 8000
DATA ?= data
PIP  := $(BIN)/python -m pip install -q --disable-pip-version-check --require-hashes --only-binary :all: --no-binary font-source-sans-pro --use-pep517
comma := ,
# a server of the tests' own for one run of them
ON_POSTGRESQL := $(BIN)/python -m tests.server $(BIN)/python -m pytest
# pages that reckon, draw or speak do so on either database alike, and once is enough
ALIKE   := access building calendars cards finding fuzz gym map mechanics model_search notes overview pounds \
           sore_arm spanish speech start_position style tables_of_rows tries variations week weight
DIFFERS := tests/actions tests/web $(ALIKE:%=--ignore=tests/web/test_%.py) \
           $(patsubst %,--ignore=tests/actions/test_%.py,as_planned body buildable built_sessions comparing demo first_loads \
           model_steps onward plate_order progress stairs standing why)

# need TEST,PACKAGES: install Debian packages when the test fails, as root or by sudo.
define need
	@$(1) >/dev/null 2>&1 || { \
	  if [ "$$(id -u)" = 0 ]; then SUDO=; elif command -v sudo >/dev/null; then SUDO=sudo; \
	  else echo "please run: apt-get install $(2)"; exit 1; fi; \
	  $$SUDO apt-get update -qq && $$SUDO env DEBIAN_FRONTEND=noninteractive apt-get install -y -qq --no-install-recommends $(2) >/dev/null; }
endef

.PHONY: run env test test-postgresql test-env lint bench words locks clean help
.DEFAULT_GOAL := help

help:            ## these words
	@grep -E '^[a-z-]+: .*##|^[a-z-]+:  *##' $(MAKEFILE_LIST) | sed 's/:[^#]*##/ :/'

run: $(V)/.run   ## the app on 127.0.0.1:$(PORT), data in $(DATA)
	@$(BIN)/floorward serve --port $(PORT) --data $(DATA)

env: $(V)/.run   ## the environment alone: .venv/bin/floorward

test-env: $(V)/.test

test: $(V)/.test lint   ## every check: lint, types, tests, browser; what differs between databases on both
	$(BIN)/python -m pytest
	$(ON_POSTGRESQL) $(DIFFERS)

test-postgresql: $(V)/.test   ## all tests of actions, pages and storage on PostgreSQL
	$(ON_POSTGRESQL) tests/actions tests/web tests/storage

lint: $(V)/.test ## style, types and the import contract
	$(BIN)/ruff check .
	$(BIN)/ruff format --check .
	$(BIN)/lint-imports
	$(BIN)/mypy

bench: $(V)/.test ## ratios of speed and quality, into docs/reference/figures.md
	$(BIN)/python -m bench

words: $(V)/.test ## gather every text into the catalogues of languages
	@$(BIN)/python -m tests.catalogue

locks:           ## rewrite requirements/*.txt (needs uv; for developers)
	uv pip compile -q --universal --python-version 3.11 --generate-hashes --no-annotate --no-header requirements/run.in -o requirements/run.txt
	uv pip compile -q --universal --python-version 3.11 --generate-hashes --no-annotate --no-header requirements/test.in -o requirements/test.txt

clean:           ## remove the environment and caches; data stays
	rm -rf $(V) .mypy_cache .ruff_cache .pytest_cache .hypothesis .import_linter_cache

$(V)/.run: requirements/run.txt pyproject.toml
	$(call need,$(PY) -c 'import ensurepip$(comma) venv',python3-venv)
	@test -x $(BIN)/python || $(PY) -m venv $(V)
	$(PIP) -r requirements/run.txt
	@$(BIN)/python -c "import sysconfig, pathlib; pathlib.Path(sysconfig.get_path('purelib'), 'floorward-here.pth').write_text('$(CURDIR)/src\n')"
	@printf '#!%s\nfrom floorward.cli import main\nraise SystemExit(main())\n' "$(CURDIR)/$(BIN)/python" > $(BIN)/floorward && chmod +x $(BIN)/floorward
	@touch $@

$(V)/.test: requirements/test.txt $(V)/.run
	$(call need,test -x /usr/bin/chromium,chromium fonts-noto-core)
	$(call need,command -v certutil && command -v openssl,libnss3-tools openssl)
	$(call need,ls /usr/lib/postgresql/*/bin/initdb,postgresql)
	$(PIP) -r requirements/test.txt
	@touch $@
