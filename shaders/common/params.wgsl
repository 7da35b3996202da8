// Numbers of one dispatch. Mirror: Params in render/src/gpu/layout.rs.

struct Params {
    // Rounds of each lane: single pixels in commit, quads of pixels in resolve and tally.
    steps: u32,
    // Number of entries of the paint table (tally: of the output row).
    paints: u32,
    // First paint id of this dispatch (tally).
    first_paint: u32,
    // Mixing model (resolve): 0 light, 1 perceptual.
    mixing: u32,
}
