# The commands of this project. `make` alone lists them. Plain /bin/sh and any GNU make from 3.81 on will do.
#
#   PYTHON=python3.12   which Python makes .venv (without it: the first of python3, python3.13 ... that is new enough)
#   ADDR=127.0.0.1:8000 where `make serve` listens
#   ARGS=...            handed to pytest, to the benchmark or to `mkdocs serve`

SHELL = /bin/sh
.DEFAULT_GOAL := help
.SUFFIXES:

PYTHON ?=
ADDR ?= 127.0.0.1:8000
ARGS ?=

VENV := .venv
BIN := $(VENV)/bin
PIP := $(BIN)/python -m pip --disable-pip-version-check
BENCH := tests/bench/bench_build.py
FUZZ := tests/bench/fuzz.py
FAULTS := tests/bench/faults.py
GUIDED := tests/bench/guided.py

# Two sites built from one commit are the same to the byte: the only date in them is that of the commit.
ifndef SOURCE_DATE_EPOCH
  SOURCE_DATE_EPOCH := $(shell git log -1 --format=%ct 2>/dev/null)
endif
ifneq ($(SOURCE_DATE_EPOCH),)
  export SOURCE_DATE_EPOCH
else
  unexport SOURCE_DATE_EPOCH
endif

# The theme and the fork of MkDocs each print a banner about MkDocs 2 and offer these two switches for it.
# DEVELOPERS.md says what we make of the matter.
export NO_MKDOCS_2_WARNING := 1
export DISABLE_MKDOCS_2_WARNING := true

# An environment cannot be moved, and keeps the Python that it was made with. It is made anew when the folder has
# moved, when its Python is gone, or when another PYTHON is asked for by name.
export HERE := $(CURDIR)
ifneq ($(shell cat $(VENV)/made-in 2>/dev/null),$(HERE))
  STALE := anew
endif
ifeq ($(wildcard $(BIN)/python),)
  STALE := anew
endif
ifneq ($(PYTHON),)
  ifneq ($(shell cat $(VENV)/made-with 2>/dev/null),$(PYTHON))
    STALE := anew
  endif
endif

.PHONY: help guide serve test lint format bench fuzz guided faults audit constraints hashes clean anew

help:
	@echo 'make guide        build the demo guide into site/'
	@echo 'make serve        the same in a browser, built again when a file under rigs/ or docs/ changes'
	@echo 'make test         linters, types and the whole test suite'
	@echo 'make lint         linters and types only'
	@echo 'make format       mend what the linters can mend'
	@echo 'make bench        time the build against a bare MkDocs build of the same text'
	@echo 'make fuzz         harm the demo guide in thousands of ways and tell what is lost'
	@echo 'make guided       steer inputs into all that reads what others wrote, by what they reach'
	@echo 'make faults       kill and starve builds in many ways and tell what is lost'
	@echo 'make constraints  pin the newest packages that pyproject.toml allows'
	@echo 'make hashes       write down the digests of what a release installs'
	@echo 'make audit        look whether a pinned package is known to be bad'
	@echo 'make clean        remove all that these commands made'
	@echo
	@echo 'Each sets up .venv by itself the first time. PYTHON=python3.12 chooses the Python, ARGS=... goes to the tool.'

guide: $(VENV)/ready-guide
	@$(BIN)/mkdocs build --strict
	@echo
	@echo 'The guide is built. Open this file in a browser (no server is needed):'
	@echo "  $$HERE/site/index.html"
	@echo 'or look at it while you edit, with: make serve'

serve: $(VENV)/ready-guide
	@echo 'Serving on http://$(ADDR)/ - edit under rigs/ or docs/ and the page reloads. Ctrl-C stops.'
	@$(BIN)/mkdocs serve --dev-addr $(ADDR) $(ARGS)

test: lint
	@$(BIN)/python -m pytest -n auto --dist loadfile --no-loadscope-reorder $(ARGS)

lint: $(VENV)/ready-test
	@$(BIN)/ruff check
	@$(BIN)/ruff format --check
	@$(BIN)/mypy

format: $(VENV)/ready-test
	@$(BIN)/ruff check --fix
	@$(BIN)/ruff format

bench: $(VENV)/ready-test
	@$(BIN)/python $(BENCH) $(ARGS)

fuzz: $(VENV)/ready-test
	@$(BIN)/python $(FUZZ) $(ARGS)

guided: $(VENV)/ready-guided
	@$(BIN)/python $(GUIDED) $(ARGS)

faults: $(VENV)/ready-test
	@$(BIN)/python $(FAULTS) $(ARGS)

audit: $(VENV)/ready-audit
	@$(VENV)/audit/bin/pip-audit --no-deps --disable-pip --progress-spinner off --format json \
	  --requirement constraints.txt 2>$(VENV)/audit/said | $(BIN)/python generator/tools/audit_pins.py

clean:
	rm -rf $(VENV) site dist build .mypy_cache .pytest_cache .ruff_cache .hypothesis .cache
	find generator tests -name __pycache__ -type d -prune -exec rm -rf {} +

# --- setting up ---------------------------------------------------------------------------------------------

$(VENV)/made-in: $(STALE)
	@python='$(PYTHON)'; \
	new_enough='import sys, venv; sys.exit(sys.version_info < (3, 11))'; \
	if [ -z "$$python" ]; then \
	  for python in python3 python3.13 python3.12 python3.11 python3.14 none; do \
	    if "$$python" -c "$$new_enough" 2>/dev/null; then break; fi; \
	  done; \
	fi; \
	if ! "$$python" -c "$$new_enough" 2>/dev/null; then \
	  case "$$python" in \
	    none) echo "No Python 3.11 or newer was found. This is what python3 says of itself:"; python3 --version;; \
	    *) echo "Python 3.11 or newer is needed, but this is what $$python says of itself:"; "$$python" --version;; \
	  esac; \
	  echo "Install a newer Python, or name one: make $(MAKECMDGOALS) PYTHON=/path/to/python3.12"; \
	  exit 1; \
	fi >&2; \
	rm -rf $(VENV); \
	echo "Making $(VENV) with $$("$$python" --version) ..."; \
	if ! "$$python" -m venv $(VENV); then \
	  rm -rf $(VENV); \
	  echo "That Python could not make an environment. On Debian and its kin the package python3-venv is needed." >&2; \
	  exit 1; \
	fi; \
	echo "$$python" > $(VENV)/made-with; \
	echo "$$HERE" > $@

# The backend that builds the package is installed first, from the same pins, so that nothing unpinned is fetched.
$(VENV)/ready-guide: $(VENV)/made-in pyproject.toml constraints.txt
	@echo 'Installing the packages that the guide needs ...'
	@$(PIP) install -qq --constraint constraints.txt hatchling editables
	@$(PIP) install -qq --constraint constraints.txt --no-build-isolation --editable .
	@touch $@

$(VENV)/ready-test: $(VENV)/made-in pyproject.toml constraints.txt
	@echo 'Installing the packages that the tests need ...'
	@$(PIP) install -qq --constraint constraints.txt hatchling editables
	@$(PIP) install -qq --constraint constraints.txt --no-build-isolation --editable '.[test,lint,fork]'
	@touch $(VENV)/ready-guide $@

# For Linux alone, and for nothing else here.
$(VENV)/ready-guided: $(VENV)/ready-test
	@$(PIP) install -qq --constraint constraints.txt --no-build-isolation --editable '.[guided]'
	@touch $@

# In an environment of its own: it needs a pip of its own, and nothing of ours.
$(VENV)/ready-audit: $(VENV)/made-in constraints.txt
	@$(BIN)/python -m venv $(VENV)/audit
	@$(VENV)/audit/bin/python -m pip --disable-pip-version-check install -qq --constraint constraints.txt pip-audit \
	  || echo 'The auditor could not be installed.'
	@touch $@

# Pins are looked up with Python 3.11 and for 3.11.0, the oldest supported (some packages ask for a later 3.11
# than that of a long-lived system), so that they hold for every newer one.
constraints:
	@set -e; python='$(if $(PYTHON),$(PYTHON),python3.11)'; \
	if ! "$$python" -c 'import sys; sys.exit(sys.version_info[:2] != (3, 11))'; then \
	  echo 'Pins are looked up with Python 3.11, the oldest supported: make constraints PYTHON=python3.11' >&2; exit 1; \
	fi; \
	folder=$$(mktemp -d); trap 'rm -rf "$$folder"' EXIT; \
	"$$python" -m venv "$$folder/venv"; \
	pip() { "$$folder/venv/bin/python" -m pip --disable-pip-version-check "$$@"; }; \
	pip wheel -qq --no-deps --wheel-dir "$$folder" .; \
	pip install -qq --dry-run --ignore-installed --report "$$folder/report.json" \
	  --python-version 3.11.0 --only-binary :all: --target "$$folder/none" \
	  "rigleaf[test,lint,fork,audit,guided] @ file://$$folder/$$(ls "$$folder" | grep '\.whl$$')"; \
	{ \
	  echo '# The exact releases that this project is built and tested with, on Python 3.11 to 3.14.'; \
	  echo '# Renew with: make constraints && make test'; \
	  "$$python" -c 'import json, sys; \
	    found = (package["metadata"] for package in json.load(sys.stdin)["install"]); \
	    pins = {m["name"].lower(): "{name}=={version}".format(**m) for m in found if m["name"] != "rigleaf"}; \
	    print(*(pins[name] for name in sorted(pins)), sep="\n")' \
	    < "$$folder/report.json"; \
	} > "$$folder/constraints.txt"; \
	mv "$$folder/constraints.txt" constraints.txt; \
	echo 'constraints.txt is new; see what changed with: git diff constraints.txt'
	@$(MAKE) hashes

# The digests of every file that a reader's pip may choose, for each Python and system that there are files for.
hashes:
	@set -e; folder=$$(mktemp -d); trap 'rm -rf "$$folder"' EXIT; \
	python3 -m venv "$$folder"; \
	"$$folder/bin/python" -m pip --disable-pip-version-check install -qq uv; \
	{ \
	  echo '# What a release installs, release by release and file by file; made by: make hashes'; \
	  echo '# pip install --require-hashes --requirement hashes.txt'; \
	  "$$folder/bin/uv" pip compile pyproject.toml --quiet --universal --python-version 3.11 --constraint constraints.txt \
	    --generate-hashes --no-header --no-annotate --no-emit-index-url; \
	} > "$$folder/hashes.txt"; \
	mv "$$folder/hashes.txt" hashes.txt; \
	echo 'hashes.txt is new; see what changed with: git diff hashes.txt'
