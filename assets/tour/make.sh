#!/bin/sh
# Takes the pictures of the README's tour from the running program: start, painting, board, free, export (.png), 1280 x 800.
# Usage: sh assets/tour/make.sh
# Needs Rust, Xvfb, xdotool and a software Vulkan driver; on Debian: apt install xvfb xdotool mesa-vulkan-drivers libvulkan1
# The places that are pressed are those of the window's own size; see tests/examples/tour.rs.
set -eu
cd "$(dirname "$0")/../.."
cargo build --release --package stint
cargo run --release --package stint-tests --example tour -- assets/tour
