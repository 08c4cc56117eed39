#!/bin/sh
# Runs the tests of this folder inside a virtual board, which has the kernel's GPIO lines. Outside `npm test`, for the
# board is a tool of its own:
#
#   BOARD_VM=/path/to/boot-gpio-vm tests/real/board/run.sh [--arch arm64|amd64] [--kernel stable|backports] …
set -eu

: "${BOARD_VM:?path of the virtual board tool}"
cd "$(dirname "$0")/../../.."

# The board gets a Node of its own, and none of what only builds or shows the project.
exec "$BOARD_VM" --timeout 540 \
  --exclude 'node_modules/node-*' --exclude 'node_modules/typescript' --exclude 'node_modules/@typescript' \
  --exclude 'node_modules/@biomejs' --exclude 'node_modules/playwright-core' --exclude 'node_modules/@rolldown' \
  --exclude 'node_modules/.vite*' --exclude 'tests/fixtures' --exclude 'tests/.cache' \
  "$@" -- node --test --test-timeout=120000 --test-concurrency=1 tests/real/board/gpio-float.board.ts tests/real/board/annunciator.board.ts
