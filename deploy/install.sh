# Sourced by up, test, backup and restore: makes .venv and fills it from a hash-locked file.
# shellcheck shell=bash
# A stamp with the lock's hash lets the next start skip pip altogether.

venv_python=".venv/bin/python"

is_python_311() {
  "$1" -c 'import sys; sys.exit(sys.version_info[:2] != (3, 11))' >/dev/null 2>&1
}

find_python() {
  local candidate
  for candidate in "${SIXMARK_PYTHON:-}" python3.11 python3 python; do
    if [ -n "$candidate" ] && is_python_311 "$candidate"; then
      printf '%s\n' "$candidate"
      return
    fi
  done
  echo "Sixmark needs Python 3.11. On Debian 12: apt-get install -y python3.11 python3.11-venv" >&2
  echo "If it is installed elsewhere: SIXMARK_PYTHON=/path/to/python3.11 $0" >&2
  return 1
}

# Debian ships Python without ensurepip unless python3.11-venv is there, so there are three ways in.
make_venv() {
  local python="$1"
  if "$python" -c 'import ensurepip' 2>/dev/null && "$python" -m venv --clear .venv; then return; fi
  if "$python" -m virtualenv --version >/dev/null 2>&1 && "$python" -m virtualenv -q --clear .venv; then return; fi
  if "$python" -m venv --clear --without-pip .venv \
    && "$python" -m pip --python "$venv_python" install -q pip 2>/dev/null; then return; fi
  rm -rf .venv
  echo "Python's venv module is incomplete here. Install it, then start again:" >&2
  echo "  sudo apt-get install -y python3.11-venv" >&2
  return 1
}

hash_of() {
  "$venv_python" -c 'import hashlib, sys; print(hashlib.sha256(open(sys.argv[1], "rb").read()).hexdigest())' "$1"
}

# ensure_venv LOCKFILE
ensure_venv() {
  local lock="$1" stamp wanted python
  stamp=".venv/.installed-$(basename "$lock")"
  if ! { [ -x "$venv_python" ] && is_python_311 "$venv_python"; }; then
    python="$(find_python)"
    echo "Making the virtual environment .venv ..." >&2
    make_venv "$python"
  fi
  wanted="$(hash_of "$lock")"
  if [ -f "$stamp" ] && [ "$(cat "$stamp")" = "$wanted" ]; then return; fi
  echo "Installing the locked packages of $lock ..." >&2
  "$venv_python" -m pip install -qq --no-input --disable-pip-version-check --require-hashes -r "$lock" >&2
  printf '%s\n' "$wanted" >"$stamp"
}
