# Everything happens inside .venv in this folder; nothing is installed elsewhere.
PYTHON ?= python3
VENV := .venv
BIN := $(VENV)/bin
SCRAMBLE ?= R U2 F' L2 D B2 R' F D2 L U' B R2 D' F2 U L2 B' Rw U2
BUILT_FROM := pyproject.toml $(wildcard native/CMakeLists.txt native/*.cpp native/*.hpp native/*.inc) \
	frontend/build.cmake frontend/package-lock.json frontend/index.html $(shell find frontend/src frontend/public -type f)

.PHONY: run app test test-browser check bench browser native-asan clean

run: $(VENV)/run.stamp
	@$(BIN)/nightfold plan "$(SCRAMBLE)"
	@echo
	@echo "Next: your own cube with  make run SCRAMBLE=\"...\"  or  $(BIN)/nightfold plan --help"

app: $(VENV)/run.stamp
	$(BIN)/nightfold app

test: $(VENV)/dev.stamp
	$(BIN)/pytest -n auto --ignore-glob="*/test_browser_*" --ignore-glob="*/test_frontend_*"

# The tests that click through the app in a real browser, and those that need the packages of the folder frontend.
test-browser: $(VENV)/dev.stamp browser
	$(BIN)/pytest -n auto tests/web/test_browser_*.py tests/web/test_frontend_*.py

# The browser that the tests of the app click in: Debian's package, where there is none yet and it may be installed.
browser:
	@if command -v chromium >/dev/null || command -v chromium-browser >/dev/null || command -v google-chrome >/dev/null; \
	then :; \
	elif [ "$$(id -u)" = 0 ] && command -v apt-get >/dev/null; \
	then apt-get update -qq && apt-get install -y -qq --no-install-recommends chromium fonts-dejavu-core >/dev/null; \
	else echo "no browser was found and none can be installed here: the tests of the app in a browser cannot run"; \
	fi
	@if command -v npm >/dev/null && [ ! -d frontend/node_modules/axe-core ]; then cd frontend && npm ci --silent; fi

check: $(VENV)/dev.stamp
	$(BIN)/ruff check .
	$(BIN)/ruff format --check .
	$(BIN)/mypy
	$(BIN)/lint-imports
	@if command -v npm >/dev/null; \
	then cd frontend && { [ -d node_modules ] || npm ci --silent; } && npm run --silent check && npm test --silent; fi

bench: $(VENV)/dev.stamp
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
