# Sourced by try.sh and test.sh: stands in the checkout with a virtual environment that holds what a
# hashed lock names. Installs nothing when nothing has changed since the last time, and removes
# nothing that the other script installed.

set -eu
cd "$(dirname "$0")/.."

find_python() {
    for name in python3 python3.14 python3.13 python3.12 python3.11 python; do
        if command -v "$name" >/dev/null 2>&1 &&
            "$name" -c 'import sys; sys.exit(sys.version_info < (3, 11))' 2>/dev/null; then
            echo "$name"
            return
        fi
    done
    echo "Clackbox needs Python 3.11 or newer, and found none on this machine." >&2
    exit 1
}

# One argument: `requirements` for what runs, `tests` for all. The stamps name what the environment
# was made from: both locks, the extras, the interpreter, the place. What tests need holds what runs.
prepare_environment() {
    python=$(find_python)
    stamp=$({ cat deploy/*.lock pyproject.toml; "$python" -VV; pwd; } | cksum)
    if [ -x .venv/bin/python ] && [ "$(cat ".venv/stamp-$1" 2>/dev/null)" = "$stamp" ]; then
        return
    fi
    echo "making the environment in .venv (a minute or so the first time)" >&2
    # Without pip it is half made: the making was interrupted, or had no ensurepip to make it with.
    .venv/bin/python -m pip --version >/dev/null 2>&1 || "$python" -m venv --clear .venv || {
        echo "Python's venv module is missing; on Debian: apt-get install python3-venv" >&2
        exit 1
    }
    .venv/bin/python -m pip install --quiet --disable-pip-version-check \
        --require-hashes --requirement "deploy/$1.lock"
    .venv/bin/python -m pip install --quiet --disable-pip-version-check \
        --no-deps --no-build-isolation --editable .
    [ "$1" = requirements ] || echo "$stamp" >.venv/stamp-requirements
    echo "$stamp" >".venv/stamp-$1"
}
