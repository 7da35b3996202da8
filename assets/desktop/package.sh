#!/bin/sh
# Makes a Debian package of Stint: the stripped program, menu entry, icons, file types, manual pages and completions.
# Usage: sh assets/desktop/package.sh FOLDER [PROGRAM]
#   FOLDER    where the package goes; it is made where there is none
#   PROGRAM   a built stint to pack; without it one is built, with no folder of this machine in its texts
# Needs dpkg-dev (dpkg-deb, dpkg-shlibdeps), gzip, and rsvg-convert for the icons.
set -eu

stop() {
    echo "assets/desktop/package.sh: $1" >&2
    exit 1
}

[ $# -ge 1 ] || stop "name a folder for the package: sh assets/desktop/package.sh FOLDER"
for needed in dpkg-deb dpkg-shlibdeps rsvg-convert strip gzip; do
    command -v "$needed" >/dev/null 2>&1 || stop "$needed is missing; install dpkg-dev, binutils, gzip and librsvg2-bin"
done
mkdir -p "$1"
out=$(cd "$1" && pwd)
program=${2:-}
if [ -n "$program" ]; then
    [ -x "$program" ] || stop "$program is not a program; name a built stint, or leave it out to have one built"
    program=$(cd "$(dirname "$program")" && pwd)/$(basename "$program")
fi
cd "$(dirname "$0")/../.."

# Texts of errors and panics name source files, which must tell nothing of this machine.
cargo_home=${CARGO_HOME:-$HOME/.cargo}
tells_folders() {
    LC_ALL=C grep -aqF -e "$PWD/" -e "$cargo_home/" "$1"
}
if [ -n "$program" ]; then
    ! tells_folders "$program" ||
        echo "assets/desktop/package.sh: the texts of $program name folders of this machine; leave it out to have one built that tells nothing" >&2
else
    # Those of this checkout and of the compiler's folders get short names.
    sysroot=$(rustc --print sysroot)
    RUSTFLAGS="${RUSTFLAGS:-} --remap-path-prefix=$PWD=stint --remap-path-prefix=$cargo_home=crates --remap-path-prefix=$sysroot=rust" \
        cargo build --quiet --release --locked --package stint --target-dir target/package
    program=$PWD/target/package/release/stint
    ! tells_folders "$program" || stop "the texts of the program that was built name folders of this machine"
fi

version=$(sed -n 's/^version = "\(.*\)"$/\1/p' Cargo.toml | head -n 1)
architecture=$(dpkg --print-architecture)
id=app.stint.Stint
work=$(mktemp -d)
trap 'rm -rf "$work"' EXIT INT TERM
root=$work/root
share=$root/usr/share
umask 022

install -D -m 755 "$program" "$root/usr/bin/stint"
strip --strip-all --remove-section=.comment "$root/usr/bin/stint"

install -D -m 644 "assets/desktop/$id.desktop" "$share/applications/$id.desktop"
install -D -m 644 "assets/desktop/$id.metainfo.xml" "$share/metainfo/$id.metainfo.xml"
install -D -m 644 "assets/desktop/$id.mime.xml" "$share/mime/packages/$id.xml"
install -D -m 644 "assets/desktop/$id.svg" "$share/icons/hicolor/scalable/apps/$id.svg"
for size in 16 24 32 48 64 128 256; do
    icon=$share/icons/hicolor/${size}x$size/apps/$id.png
    mkdir -p "$(dirname "$icon")"
    rsvg-convert -w "$size" -h "$size" "assets/desktop/$id.svg" -o "$icon"
done

"$program" manual "$share/man/man1" >/dev/null
gzip -9 -n "$share/man/man1/"*.1
mkdir -p "$share/bash-completion/completions" "$share/zsh/vendor-completions" "$share/fish/vendor_completions.d"
"$program" completions bash >"$share/bash-completion/completions/stint"
"$program" completions zsh >"$share/zsh/vendor-completions/_stint"
"$program" completions fish >"$share/fish/vendor_completions.d/stint.fish"

doc=$share/doc/stint
mkdir -p "$doc"
{
    echo "Format: https://www.debian.org/doc/packaging-manuals/copyright-format/1.0/"
    echo "Upstream-Name: Stint"
    echo
    echo "Files: *"
    echo "Copyright: The Stint developers"
    echo "License: Expat or Apache-2.0"
    echo
    echo "Files: assets/fonts/*"
    echo "Copyright: $(sed -n '1s/^Copyright *//p' assets/fonts/OFL.txt)"
    echo "License: OFL-1.1"
    echo
    echo "License: Expat"
    sed 's/^$/./; s/^/ /' LICENSE-MIT
    echo
    echo "License: Apache-2.0"
    echo " On Debian systems the text is in /usr/share/common-licenses/Apache-2.0."
    echo
    echo "License: OFL-1.1"
    sed 's/^[[:space:]]*$/./; s/^/ /' assets/fonts/OFL.txt
} >"$doc/copyright"
{
    echo "stint ($version) unstable; urgency=medium"
    echo
    echo "  * Initial release."
    echo
    echo " -- The Stint developers <stint@example.org>  $(date -u -R -d "@${SOURCE_DATE_EPOCH:-$(git log -1 --format=%ct 2>/dev/null || date +%s)}")"
} | gzip -9 -n >"$doc/changelog.gz"

# What the program is linked with; what it opens only when a window is wanted is named by hand.
mkdir -p "$work/debian"
printf 'Source: stint\n\nPackage: stint\nArchitecture: any\n' >"$work/debian/control"
linked=$(cd "$work" && dpkg-shlibdeps -O root/usr/bin/stint 2>/dev/null | sed -n 's/^shlibs:Depends=//p')
[ -n "$linked" ] || stop "dpkg-shlibdeps does not tell what the program is linked with"
mkdir -p "$root/DEBIAN"
cat >"$root/DEBIAN/control" <<CONTROL
Package: stint
Version: $version
Architecture: $architecture
Maintainer: The Stint developers <stint@example.org>
Installed-Size: $(du -k -s "$root/usr" | cut -f 1)
Depends: $linked, libxkbcommon0, libxkbcommon-x11-0, libx11-6, libx11-xcb1, libxcursor1, libxi6, libwayland-client0, libvulkan1 | libegl1
Recommends: mesa-vulkan-drivers
Section: graphics
Priority: optional
Description: colour studies from your photos, with a small board
 Stint is a painting canvas for quick colour studies from your own photos.
 You first build a small board: shadow, local and light for every surface.
 The brush can only be loaded from that board, a readout says what share of
 the painting came from it, and free colour stays shut until you open it.
CONTROL
(cd "$root" && find usr -type f -print0 | sort -z | xargs -0 md5sum) >"$root/DEBIAN/md5sums"

package=$out/stint_${version}_$architecture.deb
dpkg-deb --root-owner-group -Zxz --build "$root" "$package" >/dev/null
echo "$package"
