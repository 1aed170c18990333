# Read by demo/start.sh and tests/run.sh (POSIX sh): makes .venv in the checkout and installs the project there, once.
#
#   make_environment ROOT EXTRA     EXTRA is "" or "test"; returns 0 with ROOT/.venv ready, else prints one line and exits.
#
# A stamp in .venv holds a sum over pyproject.toml, the checkout's path and the extra; while it fits, nothing is installed.
# The demo and the tests share .venv: an environment with the test extra serves both.

clear_line() {
    if [ -t 2 ]; then printf '\r\033[K' >&2; fi
}

say_and_stop() {
    clear_line
    printf 'potside: %s\n' "$1" >&2
    exit 1
}

find_python() {  # prints a Python >= 3.11 that can make environments, or stops with the reason
    seen=
    for candidate in ${PYTHON:+"$PYTHON"} python3 python3.14 python3.13 python3.12 python3.11 python; do
        command -v "$candidate" >/dev/null 2>&1 || continue
        "$candidate" -c 'import sys; sys.exit(sys.version_info < (3, 11))' >/dev/null 2>&1 || continue
        seen=$candidate
        if "$candidate" -c 'import venv, ensurepip' >/dev/null 2>&1; then
            printf '%s\n' "$candidate"
            return 0
        fi
    done
    if [ -n "$seen" ]; then
        say_and_stop "$seen cannot make environments: its venv module is missing (on Debian the package python3-venv)."
    fi
    say_and_stop "Python 3.11 or newer is missing: no python3 on the PATH is new enough."
}

sum_of_project() {  # ROOT
    { cat "$1/pyproject.toml" && printf '%s\n' "$1"; } | cksum | tr ' \t' '--'
}

make_environment() {  # ROOT EXTRA
    root=$1 extra=$2
    venv=$root/.venv
    wanted=$(sum_of_project "$root") || say_and_stop "cannot read $root/pyproject.toml."
    if [ -x "$venv/bin/python" ] && [ -f "$venv/potside-stamp" ] && [ ! -e "$venv/potside-unfinished" ]; then
        stamp=$(cat "$venv/potside-stamp")
        if [ "$stamp" = "$wanted test" ] || [ "$stamp" = "$wanted $extra" ]; then
            "$venv/bin/python" -c '' >/dev/null 2>&1 && return 0
        elif [ "${stamp##* }" = test ]; then
            extra=test
        fi
    fi
    install_project
}

install_project() {  # uses root, venv, extra, wanted
    if [ -e "$venv/potside-unfinished" ] || ! "$venv/bin/python" -m pip --version >/dev/null 2>&1; then
        python=$(find_python) || exit 1
        mkdir -p "$venv" 2>/dev/null || say_and_stop "cannot write in $root: the environment .venv has no place."
        "$python" -m venv --clear "$venv" >/dev/null 2>&1 || say_and_stop "$python could not make the environment in $venv."
        : >"$venv/potside-unfinished"
    fi
    rm -f "$venv/potside-stamp"
    log=$venv/potside-install.log
    if [ -t 2 ]; then printf 'potside: setting up, once; this takes a minute ...' >&2; fi
    if ! (
        cd "$root" &&
            PIP_RETRIES=${PIP_RETRIES:-2} PIP_DISABLE_PIP_VERSION_CHECK=1 PIP_NO_INPUT=1 \
                "$venv/bin/python" -m pip install --quiet --editable ".${extra:+[$extra]}"
    ) >"$log" 2>&1; then
        missing=$(sed -n 's/.*No matching distribution found for \([^ ]*\).*/\1/p' "$log" | head -n 1)
        if [ -z "$missing" ] && ! grep -qi -e 'connection' -e 'name resolution' -e 'network' -e 'timed out' "$log"; then
            say_and_stop "the installation into $venv failed. Details: $log"
        fi
        say_and_stop "${missing:-a Python package} is missing and could not be fetched; is there a network? Details: $log"
    fi
    printf '%s %s\n' "$wanted" "$extra" >"$venv/potside-stamp" && rm -f "$venv/potside-unfinished"
    clear_line
}
