#!/bin/sh
# install.sh - does tarn install as the README says, and does it serve then?
#
#   sh tests/install.sh short BUILD_DIR   installs what is built into a temporary folder, for two
#                                         prefixes, and looks at what is there (ctest runs this)
#   sudo sh tests/install.sh long         follows the README's own lines on a fresh Debian under a real
#                                         systemd, in a container; some minutes the first time
#
# The long form needs root, the packages debootstrap and systemd-container, and the mirror that apt is
# configured with. It keeps its root file system in build/install/ and uses it again. Both end with 77
# and a reason where they cannot be had.
set -eu
cd "$(dirname "$0")/.."
. config/packages.sh

skip() {
    echo "left out: $*"
    exit 77
}

fail() {
    echo "install: $*" >&2
    exit 1
}

# The README's Install block, a command a line: what a person types.
readme_lines() {
    sed -n '/^## Install$/,/^## /s/^    //p' README.md
}

# ---- short ----

# Every path that the units and man pages under $1 name, once.
named_paths() {
    grep -rhoE '(^|[ =:"'"'"'])/[A-Za-z0-9_@%.-]+(/[A-Za-z0-9_@%.-]+)*' "$1/lib/systemd" "$1/share/man" |
        sed 's|^[^/]||; s|\.$||' | sort -u
}

# check_prefix BUILD PREFIX: installed for PREFIX, into a folder of its own.
check_prefix() {
    to=$2
    stage=$dir/stage$to
    at=$stage$to
    DESTDIR=$stage cmake --install "$1" --prefix "$to" >"$dir/said" || fail "$(cat "$dir/said")"
    for path in $(named_paths "$at"); do
        case $path in
        /etc/tarn | /etc/tarn/* | /run/tarn* | /var/lib/tarn* | /tmp | /tmp/*) ;; # made when it runs
        /media/*) ;;                                                          # a person's own stick
        "$to"/*/*tarn*) [ -e "$stage$path" ] || fail "$path is named and not installed" ;;
        *) [ -e "$stage$path" ] || [ -e "$path" ] || fail "$path is named and not on this system" ;;
        esac
    done
    grep -q "^ExecStart=$to/bin/tarnd " "$at/lib/systemd/system/tarnd.service" ||
        fail "tarnd.service starts another program than $to/bin/tarnd"
    grep -q "^ExecStart=$to/bin/tarnd " "$at/lib/systemd/system/tarnd@.service" ||
        fail "tarnd@.service starts another program than $to/bin/tarnd"
    grep -q "$to/share/doc/tarn/rooms/demo.yaml" "$at/share/man/man8/tarnd.8" ||
        fail "tarnd(8) names another demo room than the one installed"
    if grep -rlF -e "$dir" -e "$PWD" "$at/lib" "$at/share"; then
        fail "these name the folder of the build or of the install"
    fi
    for file in lib/sysusers.d/tarn.conf lib/systemd/system/tarnd.socket share/man/man1/tarn.1 \
        share/man/man5/tarn-room.5 share/tarn/answers.schema.json; do
        [ -s "$at/$file" ] || fail "$file is not installed"
    done
    for file in config/crops/* config/rooms/*; do
        cmp "$file" "$at/share/doc/tarn/${file#config/}" || fail "$file is not installed"
    done
    "$at/bin/tarn" completion bash | cmp - "$at/share/bash-completion/completions/tarn" ||
        fail "the completion is not the command's"
    # From a folder where nothing of ours lies: the crops have to come along.
    for tarnd in "$at/bin/tarnd" "$(cd "$1" && pwd)/tarnd"; do
        (cd / && "$tarnd" --check --room "$at/share/doc/tarn/rooms/demo.yaml") >"$dir/said" ||
            fail "$(cat "$dir/said")"
        grep -q ': no fault$' "$dir/said" || fail "$(cat "$dir/said")"
    done
}

short() {
    build=$1
    dir=$(mktemp -d)
    trap 'rm -rf "$dir"' EXIT
    prefix=$(readme_lines | sed -n 's/.*cmake --install [^ ]* --prefix \([^ ]*\).*/\1/p')
    [ -n "$prefix" ] || fail "the README's Install block has no 'cmake --install BUILD --prefix PREFIX'"
    check_prefix "$build" "$prefix"
    check_prefix "$build" /opt/grow # one that nobody thought of
    # The room file of the README's lines is one that is there.
    room=$(readme_lines | sed -n 's/^sudo install .* \(config[^ ]*\) \/etc\/tarn\/room.yaml.*/\1/p')
    [ -f "$room" ] || fail "the README installs '$room' as the room file, which is not there"
    echo "installs for $prefix and /opt/grow"
}

# ---- long ----

# A minimal Debian of this machine's release with what the README takes for given: the packages that
# `sh config/try.sh` installs, systemd and sudo.
make_base() {
    suite=$(. /etc/os-release && echo "$VERSION_CODENAME")
    mirror=$(apt-get indextargets --format '$(SITE)' 'Created-By: Packages' "Codename: $suite" \
        'Component: main' 'Label: Debian' 2>/dev/null | head -n 1)
    [ -n "$mirror" ] || skip "apt knows no mirror of Debian $suite (apt-get update?)"
    packages=$(echo $BUILD_PACKAGES systemd systemd-sysv dbus sudo passwd | tr ' ' ',')
    if [ "$(cat "$cache/base.is" 2>/dev/null)" = "$suite $packages" ]; then
        return 0
    fi
    echo "Making a Debian $suite in $cache/base (its words are in $cache/base.log)"
    rm -rf "$cache/base" "$cache/base.is"
    debootstrap --variant=minbase --include="$packages" "$suite" "$cache/base" "$mirror" \
        >"$cache/base.log" 2>&1 || {
        tail -n 3 "$cache/base.log"
        skip "debootstrap cannot be had from here"
    }
    rm -rf "$cache/base/var/cache/apt/archives"
    echo "$suite $packages" >"$cache/base.is"
}

# A fresh root with a grower, a stranger, and this tree in the grower's home, as git has it.
make_root() {
    rm -rf "$cache/root"
    cp -a --reflink=auto "$cache/base" "$cache/root"
    for user in grower stranger; do
        chroot "$cache/root" useradd --create-home --shell /bin/sh "$user"
    done
    echo 'grower ALL=(ALL) NOPASSWD: ALL' >"$cache/root/etc/sudoers.d/grower"
    mkdir "$cache/root/home/grower/tarn"
    {
        git ls-files --cached --others --exclude-standard 2>/dev/null || find . -type f ! -path './build/*'
    } | tar -cf - -T - | tar -xf - -C "$cache/root/home/grower/tarn"
    readme_lines >"$cache/root/home/grower/readme.sh"
    grep -q 'cmake --install' "$cache/root/home/grower/readme.sh" || fail "README.md has no Install block"
    chroot "$cache/root" chown -R grower: /home/grower
    cp tests/install_inside.sh "$cache/root/root/inside.sh"
    cat >"$cache/root/etc/systemd/system/inside.service" <<'UNIT'
[Unit]
After=multi-user.target dbus.service
[Service]
Type=oneshot
ExecStart=/bin/sh /root/inside.sh
ExecStopPost=/bin/systemctl poweroff
StandardOutput=append:/root/said
StandardError=inherit
[Install]
WantedBy=default.target
UNIT
    mkdir -p "$cache/root/etc/systemd/system/default.target.wants"
    ln -s ../inside.service "$cache/root/etc/systemd/system/default.target.wants/inside.service"
}

long() {
    [ "$(id -u)" -eq 0 ] || skip "the container wants root"
    for tool in debootstrap systemd-nspawn; do
        command -v "$tool" >/dev/null || skip "there is no $tool; apt-get install debootstrap systemd-container"
    done
    cache=$PWD/build/install
    mkdir -p "$cache"
    make_base
    make_root
    echo "Booting it (its words are in $cache/boot.log)"
    timeout -k 5 1800 systemd-nspawn --quiet --register=no --keep-unit --directory="$cache/root" --boot \
        --console=pipe </dev/null >"$cache/boot.log" 2>&1 || echo "systemd-nspawn ended with $?"
    [ -s "$cache/root/root/said" ] || {
        tail -n 5 "$cache/boot.log"
        skip "the container does not boot here"
    }
    cp "$cache/root/root/said" "$cache/said"
    rm -rf "$cache/root"
    cat "$cache/said"
    grep -q '^all is well$' "$cache/said" || fail "see above"
}

case ${1:-} in
short) short "$2" ;;
long) long ;;
*)
    sed -n '2,12s/^# \{0,1\}//p' "$0" >&2
    exit 2
    ;;
esac
