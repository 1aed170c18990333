#!/bin/sh
# Runs the whole suite, setting up its own environment first. Arguments go to pytest, paths among them from the checkout's top.
set -eu
root=$(CDPATH='' cd -- "$(dirname -- "$0")/.." && pwd)
. "$root/deploy/environment.sh"
make_environment "$root" test
cd "$root"
exec .venv/bin/python -m pytest -n auto --maxprocesses 8 "$@"
