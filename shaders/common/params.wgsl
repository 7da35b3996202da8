// Numbers of one dispatch. Mirror: Params in render/src/gpu/layout.rs.

struct Params {
    // Rounds of each lane: quads of pixels, or texels (reduce).
    steps: u32,
    // Paints of one output row (tally).
    paints: u32,
    // First paint id of this dispatch (tally).
    first_paint: u32,
    // Mixing model (resolve): see mixing.wgsl.
    mixing: u32,
    // The last entry of the paint table, which stands for all unknown paints.
    unknown: u32,
    // How often the sides of tiles are halved (reduce).
    level: u32,
    // 1 where codes are averaged as the light they stand for, 0 as the numbers they are (reduce).
    light: u32,
}
