#!/bin/sh
# Installs what the tests need, builds with sanitizers and runs every test.
# Words given are handed to ctest:  sh tests/run.sh -R journal
# Left out, being long: sudo sh tests/install.sh long, which installs on a fresh Debian in a container.
set -eu
cd "$(dirname "$0")/.."
. config/packages.sh

# shellcheck disable=SC2086
need_packages $BUILD_PACKAGES libcmocka-dev libgsl-dev clang clang-format clang-tidy libclang-rt-14-dev \
    valgrind python3 python3-jsonschema systemd

jobs=$(nproc)
cmake --preset debug
cmake --build --preset debug --parallel "$jobs"
ctest --preset debug --parallel "$jobs" "$@"
