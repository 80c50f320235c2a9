#!/bin/sh
# Builds everything with clang, warnings being errors, and lets each fuzzer run for a moment.
# usage: clang.sh [SECONDS]   (10 for each when not given; long runs are for before a release)
set -eu
cd "$(dirname "$0")/.."
command -v clang >/dev/null || exit 77

cmake --preset fuzz >/dev/null
cmake --build --preset fuzz --parallel "$(nproc)"
for name in room request words fold journal plan; do
    found=build/fuzz/found/$name
    mkdir -p "$found"
    # Its own status for a find is 77, which ctest takes for a test that was skipped.
    "build/fuzz/tests/fuzz/fuzz_$name" -max_total_time="${1:-10}" -timeout=10 -rss_limit_mb=1024 \
        -error_exitcode=1 \
        -artifact_prefix="$found/" "$found" "tests/fuzz/corpus/$name"
done
