// What is known of each paint, by its id. Mirror: PaintInts in render/src/paints.rs.

struct PaintInts {
    // OKLab in steps of 1/16384.
    l: i32,
    a: i32,
    b: i32,
    // 1 for free paint, 0 for board paint.
    free: u32,
}
