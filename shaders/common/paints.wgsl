// What is known of each paint, by its id. Mirror: PaintInts in render/src/paints.rs.

// The entry of a paint id: those that the table does not know share its last. Mirror: entry_of in render/src/paints.rs.
fn entry_of(paint: u32) -> u32 {
    return min(paint, params.unknown);
}

// The same for four pixels.
fn entries_of(paint: vec4<u32>) -> vec4<u32> {
    return min(paint, vec4(params.unknown));
}

struct PaintInts {
    // OKLab in steps of 1/16384.
    l: i32,
    a: i32,
    b: i32,
    // 1 for free paint, 0 for board paint.
    free: u32,
}
