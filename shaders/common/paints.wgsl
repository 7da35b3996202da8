// What is known of each paint. Mirror: render/src/paints.rs.

struct PaintInts {
    l: i32,
    a: i32,
    b: i32,
    free: u32,
}
