# packages.sh - sourced: installs Debian packages that are missing, and asks nothing when none is.

as_root() {
    if [ "$(id -u)" -eq 0 ]; then
        "$@"
    elif command -v sudo >/dev/null 2>&1; then
        sudo "$@"
    else
        echo "This step needs root, and there is no sudo: $*" >&2
        return 1
    fi
}

# need_packages NAME... : without network it still works when all are there already.
need_packages() {
    missing=
    for package in "$@"; do
        state=$(dpkg-query -W -f '${db:Status-Status}' "$package" 2>/dev/null || true)
        [ "$state" = installed ] || missing="$missing $package"
    done
    [ -z "$missing" ] && return 0
    echo "Installing:$missing"
    as_root apt-get update -qq
    # shellcheck disable=SC2086
    as_root env DEBIAN_FRONTEND=noninteractive apt-get install -y -qq --no-install-recommends $missing
}

BUILD_PACKAGES="gcc libc6-dev make cmake pkg-config tzdata
    libuv1-dev libsqlite3-dev libyaml-dev libjansson-dev nettle-dev"
