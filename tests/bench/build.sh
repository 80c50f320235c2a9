# build.sh - sourced: builds the named targets for speed, and says nothing unless that fails.
. config/packages.sh

build_for_bench() {
    # shellcheck disable=SC2086
    need_packages $BUILD_PACKAGES python3 >&2
    said=$(cmake --preset release 2>&1 &&
        cmake --build --preset release --parallel "$(nproc)" --target "$@" 2>&1) && return 0
    echo "$said" >&2
    return 1
}
