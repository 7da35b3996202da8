#!/bin/sh
# Takes the pictures of the README's tour from the running program: start, photo, painting, area, compare, charts, board, dusk,
# library, free, canvas, settings, export, stint, drill, side_by_side, next_time, progress (.png), 1280 x 800.
# Usage: sh assets/tour/make.sh [FOLDER [WIDTHxHEIGHT [--more]]]
# Without a folder the pictures of this folder are taken anew. --more takes further states of the window, to be looked at.
# Needs Rust, Xvfb, xdotool and a software Vulkan driver; on Debian: apt install xvfb xdotool mesa-vulkan-drivers libvulkan1
set -eu
folder=${1:-assets/tour}
case "$folder" in
/*) ;;
assets/tour) folder="$(cd "$(dirname "$0")/../.." && pwd)/assets/tour" ;;
*) folder="$PWD/$folder" ;;
esac
cd "$(dirname "$0")/../.."
mkdir -p "$folder"
[ $# -eq 0 ] || shift
cargo build --release --package stint
cargo run --release --package stint-tests --example tour -- "$folder" "$@"
cargo run --release --package stint-tests --example brush_sheet -- "$folder/brushes.png"
