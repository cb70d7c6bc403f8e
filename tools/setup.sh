#!/bin/sh
# Makes .venv ready: finds a Python, creates the environment, installs the locked packages and the
# project itself, and tries the optional second witness. `make` runs it when something it reads has
# changed. Set PYTHON to choose the interpreter.
set -eu
cd "$(dirname "$0")/.."

fits='import sys; sys.exit(sys.version_info < (3, 11))'
has_venv='import ensurepip, venv'
venv=.venv/bin/python

find_python() {
    seen=
    for name in ${PYTHON:-python3 python3.14 python3.13 python3.12 python3.11 python}; do
        # A name may be there and still not run (version managers leave such stand-ins).
        version=$("$name" -c 'import platform; print(platform.python_version())' 2>/dev/null) || continue
        seen="$seen $name ($version)"
        "$name" -c "$fits" || continue
        if "$name" -c "$has_venv" 2>/dev/null; then
            echo "$name"
            return
        fi
        bare="$name"
    done
    if [ -n "${bare:-}" ]; then
        echo "setup: $bare cannot create virtual environments (ensurepip is missing)." >&2
        echo "setup: on Debian or Ubuntu install it with: apt-get install python3-venv" >&2
    else
        echo "setup: Python 3.11 or newer is needed; found:${seen:- none}." >&2
        echo "setup: install one, or name it: make PYTHON=... " >&2
    fi
    return 1
}

if ! "$venv" -c "$fits" 2>/dev/null || ! "$venv" -c 'import pip' 2>/dev/null; then
    python=$(find_python)
    echo "setup: creating .venv with $python"
    "$python" -m venv --clear .venv
fi

quiet="--quiet --quiet --disable-pip-version-check --no-input"
echo "setup: installing the locked packages"
"$venv" -m pip install $quiet --no-deps --require-hashes -r requirements/dev.txt
"$venv" -m pip install $quiet --no-deps --no-build-isolation --editable .

# Built from source without isolation, so that setuptools too is the one of the lock.
if "$venv" -m pip install $quiet --no-deps --require-hashes --no-build-isolation \
    -r requirements/durable.txt >.venv/durable.log 2>&1 &&
    "$venv" -c 'import durable.lang' >>.venv/durable.log 2>&1; then
    echo "setup: done"
else
    echo "setup: done, without the optional durable-rules (it needs a C compiler and Python below 3.13; see .venv/durable.log)"
fi
