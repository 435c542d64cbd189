#!/usr/bin/env bash
# Writes the bill of materials of what is shipped, as CycloneDX and as SPDX, into a folder: .ci/sbom.sh dist
# The development dependencies are taken out of the lockfile first: `npm sbom --omit dev` also leaves out shipped packages that some
# of those need too (zod and yaml among them).
set -euo pipefail
cd "$(dirname "$0")/.."
mkdir -p "${1:-dist}"
to=$(cd "${1:-dist}" && pwd)
work=$(mktemp -d)
trap 'rm -rf "$work"' EXIT
mkdir "$work/decaybook"
cp package.json package-lock.json "$work/decaybook"
cd "$work/decaybook"
npm pkg delete devDependencies
npm install --package-lock-only --offline --ignore-scripts --no-audit --silent
npm sbom --package-lock-only --sbom-format cyclonedx > "$to/sbom.cdx.json"
npm sbom --package-lock-only --sbom-format spdx > "$to/sbom.spdx.json"
