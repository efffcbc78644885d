#!/usr/bin/env bash
# The whole check: lint, types, dead code, build, every test. Installs a browser and a database server when
# there are none.
# Ends in one line that counts the tests; exits non-zero if anything failed.
set -euo pipefail
cd "$(dirname "$0")/.."

wanted=""
[ -n "${CHROMIUM_PATH:-}" ] || command -v chromium >/dev/null 2>&1 || wanted="chromium"
# The tests start a server of their own from these programs; the package's own cluster is not used.
ls /usr/lib/postgresql/*/bin/initdb >/dev/null 2>&1 || wanted="$wanted postgresql"
if [ -n "$wanted" ]; then
  echo "Installing Debian's $wanted."
  as_root=""
  [ "$(id -u)" = 0 ] || as_root="sudo"
  $as_root apt-get update -qq
  # shellcheck disable=SC2086
  $as_root env DEBIAN_FRONTEND=noninteractive apt-get install -y -qq $wanted >/dev/null
fi
: "${CHROMIUM_PATH:=$(command -v chromium)}"
export CHROMIUM_PATH

npm run --silent lint
npm run --silent typecheck
npm run --silent dead
npm run --silent build

status=0
mkdir -p .build
npx vitest run --config tests/vitest.config.ts --reporter=default --reporter=json \
  --outputFile.json=.build/test-results.json || status=$?
node tests/count.mjs .build/test-results.json
exit "$status"
