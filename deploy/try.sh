#!/bin/sh
# Sets everything up, loads an invented demo, shows what it finds, and serves it on loopback.
#   --once    all but the serving, for scripts
# CLACKBOX_DATA names the data folder (.data in the checkout), CLACKBOX_PORT the port.
. "$(dirname "$0")/setup.sh"

once=no
for argument in "$@"; do
    case "$argument" in
    --once) once=yes ;;
    *) echo "try.sh takes --once and nothing else, not $argument" >&2; exit 2 ;;
    esac
done

prepare_environment requirements
# Before anything is touched: one that serves already is left alone.
[ "$once" = yes ] || .venv/bin/clackbox serve --check
.venv/bin/clackbox migrate
.venv/bin/clackbox demo
[ "$once" = yes ] && exit 0
echo
exec .venv/bin/clackbox serve
