# Everything happens inside .venv in this folder; nothing is installed elsewhere.
PYTHON ?= python3
VENV := .venv
BIN := $(VENV)/bin
SCRAMBLE ?= R U2 F' L2 D B2 R' F D2 L U' B R2 D' F2 U L2 B' Rw U2
BUILT_FROM := pyproject.toml native/CMakeLists.txt $(wildcard native/*.cpp native/*.hpp)

.PHONY: run test check bench native-asan clean

run: $(VENV)/run.stamp
	@$(BIN)/nightfold plan "$(SCRAMBLE)"
	@echo
	@echo "Next: your own cube with  make run SCRAMBLE=\"...\"  or  $(BIN)/nightfold plan --help"

test: $(VENV)/dev.stamp
	$(BIN)/pytest -n auto

check: $(VENV)/dev.stamp
	$(BIN)/ruff check .
	$(BIN)/ruff format --check .
	$(BIN)/mypy
	$(BIN)/lint-imports

bench: $(VENV)/dev.stamp
	$(BIN)/python -m benchmarks

# The native core built with the address and undefined-behaviour sanitizers, and its tests run under them.
ASAN := build/asan
native-asan:
	$(PYTHON) -m venv $(ASAN)
	$(ASAN)/bin/pip install --quiet --disable-pip-version-check ".[dev]" \
		--config-settings=cmake.define.NIGHTFOLD_ASAN=ON --config-settings=build-dir=build/asan-objects
	cd tests && LD_PRELOAD="$$($(CXX) -print-file-name=libasan.so) $$($(CXX) -print-file-name=libubsan.so)" \
		ASAN_OPTIONS=detect_leaks=0:allocator_may_return_null=1 UBSAN_OPTIONS=print_stacktrace=1:halt_on_error=1 \
		../$(ASAN)/bin/python -m pytest search -p no:cacheprovider --rootdir=.. -c ../pyproject.toml

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
