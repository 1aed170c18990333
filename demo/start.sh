#!/bin/sh
# Opens the chat on an embedded database with a small invented collection, setting up its own environment first.
# The clock stands at the newest note; "@ +1" moves it on, and the option "--at now" follows the real one.
# With standard input not a terminal it reads notes from it, one a line.  Options go to `potside chat`.
#   --season   plays the invented year in demo/season.txt on a database of its own and shows notes, answers and reminders
set -eu
root=$(CDPATH='' cd -- "$(dirname -- "$0")/.." && pwd)
. "$root/deploy/environment.sh"
here="--zone Europe/London --latitude 51"  # where the invented collection stands; split into words on purpose

potside() {
    (cd "$root" && exec .venv/bin/python -m bot "$@")
}

notes_of() {  # FILE: its notes and clock lines, without comments ("# " at the start) and empty lines
    sed -e '/^# /d' -e '/^#$/d' -e '/^[[:space:]]*$/d' "$1"
}

play_season() {
    fresh=$(mktemp -d "${TMPDIR:-/tmp}/potside-season.XXXXXX")
    trap 'rm -rf "$fresh"' EXIT
    trap 'exit 130' INT TERM
    notes_of "$root/demo/season.txt" | potside chat --db "$fresh/season.db" $here --echo "$@"
}

grow_collection() {  # plays demo/collection.txt into a new database that takes its name only when it is whole
    mkdir -p "$data"
    rm -f "$data"/growing.db*
    if ! notes_of "$root/demo/collection.txt" | potside chat --db "$data/growing.db" $here >"$data/growing.log" 2>&1; then
        printf 'potside: the demo collection could not be made; see %s\n' "$data/growing.log" >&2
        exit 1
    fi
    rm -f "$data/growing.log"
    mv "$data/growing.db" "$data/demo.db"
}

season=
for option in "$@"; do
    shift
    if [ "$option" = --season ]; then season=yes; else set -- "$@" "$option"; fi
done
make_environment "$root" ""
if [ -n "$season" ]; then
    play_season "$@"
else
    data=$root/demo/.data
    [ -e "$data/demo.db" ] || grow_collection
    cd "$root"
    exec .venv/bin/python -m bot chat --db "$data/demo.db" $here --at last "$@"
fi
