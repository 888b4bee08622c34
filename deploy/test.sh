#!/bin/sh
# Runs everything that checks the project: style, types, layers, and the tests on SQLite and on a
# real PostgreSQL. Does all of its own setting up.
. "$(dirname "$0")/setup.sh"

prepare_environment
unset CLACKBOX_DATA CLACKBOX_PORT || true

# The page tests drive a real browser, which no Python package carries.
if ! command -v chromium >/dev/null 2>&1; then
    if command -v apt-get >/dev/null 2>&1 && [ "$(id -u)" = 0 ]; then
        echo "installing chromium with apt, for the page tests" >&2
        apt-get update -qq && DEBIAN_FRONTEND=noninteractive apt-get install -y -qq chromium >/dev/null
    else
        echo "The page tests need the chromium browser. As root, on Debian: apt-get install chromium" >&2
        exit 1
    fi
fi

run() {
    echo "== $*"
    .venv/bin/"$@"
}
run ruff check .
run ruff format --check .
run mypy
run lint-imports --no-cache

# Two workers, unless the arguments say how many or want the terminal to themselves.
case " $* " in
    *" -n"* | *" --numprocesses"* | *" --pdb"* | *" --trace"* | *" -s "*) run pytest "$@" ;;
    *) run pytest -n 2 --dist worksteal "$@" ;;
esac
