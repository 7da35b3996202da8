// Amounts: whole steps of 1/65535 of full cover, and the one rounding rule. Mirror: render/src/amount.rs.

const FULL: u32 = 65535u;

// a * b / 65535, rounded to nearest; exact for a, b in 0..=65535.
fn scale(a: u32, b: u32) -> u32 {
    let t = a * b + 0x8000u;
    return (t + (t >> 16u)) >> 16u;
}

// The same for four pixels.
fn scale4(a: vec4<u32>, b: vec4<u32>) -> vec4<u32> {
    let t = a * b + 0x8000u;
    return (t + (t >> vec4(16u))) >> vec4(16u);
}
