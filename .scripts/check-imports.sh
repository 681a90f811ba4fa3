#!/usr/bin/env bash
# The dependency rule holds, and the check itself still bites: the fixture must be refused.
set -euo pipefail
cd "$(dirname "$0")/.."
folders=$(ls -d shared collector alerts dashboard simulator 2>/dev/null || true)
npx depcruise --config .dependency-cruiser.cjs $folders
if npx depcruise --config .dependency-cruiser.cjs tests/fixtures/forbidden-import >/dev/null 2>&1; then
  echo 'check-imports: the forbidden import in tests/fixtures was not refused; the rule no longer works' >&2
  exit 1
fi
echo 'check-imports: forbidden import refused, as it must be'
