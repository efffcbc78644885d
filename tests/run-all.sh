#!/usr/bin/env bash
# The whole check: lint, types, dead code, build, every test. Installs a browser when there is none.
# Ends in one line that counts the tests; exits non-zero if anything failed.
set -euo pipefail
cd "$(dirname "$0")/.."

if [ -z "${CHROMIUM_PATH:-}" ]; then
  if ! command -v chromium >/dev/null 2>&1; then
    echo "No chromium found: installing Debian's."
    as_root=""
    [ "$(id -u)" = 0 ] || as_root="sudo"
    $as_root apt-get update -qq
    $as_root env DEBIAN_FRONTEND=noninteractive apt-get install -y -qq chromium >/dev/null
  fi
  CHROMIUM_PATH="$(command -v chromium)"
  export CHROMIUM_PATH
fi

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
