# Everything happens in this folder, most of it inside .venv; only the browser that the tests click in goes elsewhere.
PYTHON ?= python3
VENV := .venv
BIN := $(VENV)/bin
SCRAMBLE ?= R U2 F' L2 D B2 R' F D2 L U' B R2 D' F2 U L2 B' Rw U2
BUILT_FROM := pyproject.toml $(wildcard native/CMakeLists.txt native/*.cpp native/*.hpp native/*.inc) \
	frontend/build.cmake frontend/package-lock.json frontend/index.html $(shell find frontend/src frontend/public -type f)
FETCHED := frontend/node_modules/.package-lock.json
# What the frontend's checks need, where npm is there to fetch it.
PACKAGES := $(if $(shell command -v npm),$(FETCHED))

.PHONY: run app test check bench needed native-asan clean

run: $(VENV)/run.stamp
	@$(BIN)/nightfold plan "$(SCRAMBLE)"
	@echo
	@echo "Next: your own cube with  make run SCRAMBLE=\"...\"  or  $(BIN)/nightfold plan --help"

app: $(VENV)/run.stamp
	$(BIN)/nightfold app

# The tests of the browser mostly wait, so more run at once than there are processors; and whoever is done takes over
# from others what stands together, with the servers and browsers that it needs.
WORKERS ?= $(shell expr \( $$(nproc 2>/dev/null || getconf _NPROCESSORS_ONLN) \* 3 + 1 \) / 2)
test: needed
	$(BIN)/pytest -n $(WORKERS) --dist worksteal

# What the tests need besides Python: a browser to click in, a PostgreSQL server to write to and npm's packages to check
# with. Where something cannot be had, those tests are skipped and say so; with CI=true they fail. Debian's Chromium
# without a window is the quickest.
DEBIAN_ROOT := [ "$$(id -u)" = 0 ] && grep -qs '^ID=debian' /etc/os-release
INSTALL := DEBIAN_FRONTEND=noninteractive apt-get install -y -qq --no-install-recommends
needed: $(VENV)/dev.stamp $(PACKAGES)
	@if command -v chromium-headless-shell || command -v chromium || command -v chromium-browser || \
		command -v google-chrome; \
	then :; \
	elif $(DEBIAN_ROOT); \
	then apt-get update -qq && $(INSTALL) fonts-dejavu-core && \
		{ $(INSTALL) chromium-headless-shell || $(INSTALL) chromium; }; \
	else $(BIN)/playwright install --only-shell chromium; \
	fi >/dev/null || echo "no browser could be fetched: the tests of the app in a browser cannot run"
	@if command -v initdb || ls /usr/lib/postgresql/*/bin/initdb; \
	then :; \
	elif $(DEBIAN_ROOT); \
	then apt-get update -qq && $(INSTALL) postgresql; \
	else false; \
	fi >/dev/null 2>&1 || echo "no PostgreSQL server is here: the tests that write to one cannot run"

$(FETCHED): frontend/package-lock.json
	@cd frontend && npm ci --silent && touch ../$@ || echo "npm could not fetch its packages: what needs them cannot run"

check: $(VENV)/dev.stamp $(PACKAGES)
	$(BIN)/ruff check .
	$(BIN)/ruff format --check .
	$(BIN)/mypy
	$(BIN)/lint-imports
	@if command -v npm >/dev/null; then cd frontend && npm run --silent check; fi

bench: needed
	$(BIN)/python -m benchmarks

# The native core built with the address and undefined-behaviour sanitizers, and its tests run under them.
ASAN := build/asan
native-asan:
	$(PYTHON) -m venv $(ASAN)
	$(ASAN)/bin/pip install --quiet --disable-pip-version-check ".[dev]" \
		--config-settings=cmake.define.NIGHTFOLD_ASAN=ON --config-settings=cmake.define.NIGHTFOLD_FRONTEND=OFF \
		--config-settings=build-dir=build/asan-objects
	cd tests && LD_PRELOAD="$$($(CXX) -print-file-name=libasan.so) $$($(CXX) -print-file-name=libubsan.so)" \
		ASAN_OPTIONS=detect_leaks=0:allocator_may_return_null=1 UBSAN_OPTIONS=print_stacktrace=1:halt_on_error=1 \
		../$(ASAN)/bin/python -m pytest search coach -p no:cacheprovider --rootdir=.. -c ../pyproject.toml

clean:
	rm -rf $(VENV) build .pytest_cache .mypy_cache .ruff_cache .hypothesis .import_linter_cache

$(VENV)/run.stamp: $(BUILT_FROM)
	$(PYTHON) -m venv $(VENV)
	$(BIN)/pip install --quiet --disable-pip-version-check --editable .
	@touch $@

$(VENV)/dev.stamp: $(BUILT_FROM)
	$(PYTHON) -m venv $(VENV)
	$(BIN)/pip install --quiet --disable-pip-version-check --editable ".[dev]"
	@touch $(VENV)/run.stamp $@
