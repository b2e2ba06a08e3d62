#!/usr/bin/env bash
# Gets this folder ready to run: the Makefile's recipes call it.
#
#   tools/setup.sh run      .venv with what Pegwright needs, and Pegwright itself
#   tools/setup.sh test     the same and what the tests need
#   tools/setup.sh system   Chromium, poppler and NSS's certutil, which some tests use
#
# Nothing is done twice: a stamp in .venv holds a digest of all that was installed from.
set -euo pipefail
cd "$(dirname "${BASH_SOURCE[0]}")/.."

VENV=.venv
PY=$VENV/bin/python
RUN_MODULES="numpy pydantic typst highspy babel av resvg_py cryptography pegwright"
TEST_MODULES="pytest xdist hypothesis mkdocs mypy ruff jsonschema networkx pint playwright pypdf scipy shapely"

say() { printf '%s\n' "$*" >&2; }

stop() {
    say "$@"
    exit 1
}

# Runs a command as root, where this is possible without asking anyone who is not there.
as_root() {
    if [ "$(id -u)" -eq 0 ]; then
        "$@"
    elif command -v sudo >/dev/null && [ -t 0 ]; then
        sudo "$@"
    elif command -v sudo >/dev/null && sudo -n true 2>/dev/null; then
        sudo -n "$@"
    else
        return 1
    fi
}

apt_install() {
    command -v apt-get >/dev/null || return 1
    say "installing with apt: $*"
    as_root apt-get update -qq </dev/null || return 1
    as_root env DEBIAN_FRONTEND=noninteractive \
        apt-get install -y -qq --no-install-recommends "$@" </dev/null >&2
}

# --- Python --------------------------------------------------------------------------------------

is_new_enough() { "$1" -c 'import sys; sys.exit(sys.version_info < (3, 11))' >/dev/null 2>&1; }
can_make_venv() { "$1" -c 'import ensurepip, venv' >/dev/null 2>&1; }

# Prints the first Python that is 3.11 or newer and can make a virtual environment.
find_python() {
    local name found=""
    for name in ${PYTHON:-python3 python3.13 python3.12 python3.11 python3.14 python}; do
        command -v "$name" >/dev/null && is_new_enough "$name" || continue
        if can_make_venv "$name"; then
            printf '%s\n' "$name"
            return
        fi
        found=${found:-$name}
    done
    [ -n "$found" ] || stop "Pegwright needs Python 3.11 or newer, and none was found." \
        "Install one, or name yours: make PYTHON=/path/to/python3 ..."
    local version
    version=$("$found" -c 'import sys; print("%d.%d" % sys.version_info[:2])')
    apt_install "python$version-venv" && can_make_venv "$found" ||
        stop "$found has no venv module. On Debian and its kin: apt install python$version-venv"
    printf '%s\n' "$found"
}

make_venv() {
    local python
    python=$(find_python)
    say "making $VENV with $python"
    "$python" -m venv --clear "$VENV"
}

# --- what is installed into it -------------------------------------------------------------------

locks() {
    printf '%s\n' requirements/build.txt requirements/run.txt
    [ "$1" = run ] || printf '%s\n' requirements/test.txt
}

# A digest of all that an installation depends on, this folder's place among it.
digest() {
    "$PY" - "$PWD" pyproject.toml $(locks "$1") <<'PYTHON'
import hashlib, pathlib, sys
whole = hashlib.sha256(f"{sys.version}\n{sys.argv[1]}\n".encode())
for name in sys.argv[2:]:
    whole.update(pathlib.Path(name).read_bytes())
print(whole.hexdigest())
PYTHON
}

# Whether everything is really there; a half-made environment fails here and is made anew.
imports_hold() {
    local others=""
    [ "$1" = run ] || others=$TEST_MODULES
    "$PY" - "$RUN_MODULES" "$others" <<'PYTHON' >/dev/null 2>&1
import importlib, importlib.util, sys
run, others = (names.split() for names in sys.argv[1:])
for name in run:
    importlib.import_module(name)
sys.exit(any(importlib.util.find_spec(name) is None for name in others))
PYTHON
}

install() {
    local lock arguments=()
    for lock in $(locks "$1"); do arguments+=(-r "$lock"); done
    say "installing what $(locks "$1" | tr '\n' ' ')list"
    "$PY" -m pip install --quiet --disable-pip-version-check --no-input \
        --require-hashes "${arguments[@]}" &&
        "$PY" -m pip install --quiet --disable-pip-version-check --no-input \
            --no-deps --no-build-isolation --no-index --editable .
}

environment() {
    local kind=$1 stamp=$VENV/.installed-$1
    if [ -x "$PY" ] && [ -f "$stamp" ] && [ "$(cat "$stamp")" = "$(digest "$kind")" ] &&
        imports_hold "$kind"; then
        return
    fi
    if ! "$PY" -m pip --version >/dev/null 2>&1 || ! is_new_enough "$PY"; then
        make_venv
    fi
    rm -f "$VENV"/.installed-*
    install "$kind" || stop "The installation did not finish; the lines above say why."
    if ! imports_hold "$kind"; then
        say "$VENV does not work; making it anew"
        make_venv
        install "$kind" && imports_hold "$kind" ||
            stop "$VENV still does not work: try make clean, then again."
    fi
    digest "$kind" >"$stamp"
    # What holds for the tests holds for running as well.
    [ "$kind" = run ] || digest run >"$VENV/.installed-run"
}

# --- other programs ------------------------------------------------------------------------------

system() {
    local missing=()
    command -v chromium >/dev/null || command -v chromium-browser >/dev/null ||
        command -v google-chrome >/dev/null || missing+=(chromium)
    command -v pdftotext >/dev/null && command -v pdftoppm >/dev/null || missing+=(poppler-utils)
    command -v certutil >/dev/null || missing+=(libnss3-tools)
    [ ${#missing[@]} -gt 0 ] || return 0
    apt_install "${missing[@]}" && return
    say "Some tests need: ${missing[*]}. They could not be installed from here, so those" \
        "tests will not pass; install them with your system's own tool and run make test again."
    [ "${CI:-}" != true ]
}

case ${1:-} in
run | test) environment "$1" ;;
system) system ;;
*) stop "usage: tools/setup.sh run | test | system" ;;
esac
