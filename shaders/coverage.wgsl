// Coverage: how much of each pixel is of some paints. Reads stacks of planes and one bit for each paint id, writes greys of 8 bit, none
// to all, packed as colours are, tile after tile. One workgroup row a stack, 256 lanes. Mirror: render/src/cpu/coverage.rs.

@group(0) @binding(4) var<storage, read> stacks: array<u32>;
@group(0) @binding(5) var<storage, read> lit: array<u32>;
@group(0) @binding(6) var<storage, read_write> greys: array<vec4<u32>>;
@group(0) @binding(7) var<uniform> params: Params;

// All bits where the paint is lit, none elsewhere.
fn mask_of(paint: u32) -> u32 {
    return 0u - ((lit[paint >> 5u] >> (paint & 31u)) & 1u);
}

@compute @workgroup_size(256)
fn coverage(@builtin(workgroup_id) group: vec3<u32>, @builtin(local_invocation_index) lane: u32) {
    let first = stacks[group.x];
    let end = stacks[group.x + 1u];
    for (var step = 0u; step < params.steps; step++) {
        let quad = ((group.y * params.steps) + step) * LANES + lane;
        var left = vec4(FULL);
        var found = vec4(0u);
        for (var layer = first; layer < end; layer += LAYER_WORDS) {
            let strength = vec4(stacks[layer]);
            let planes = stacks[layer + 1u];
            var cover = vec4(0u);
            var shown = vec4(0u);
            for (var k = 0u; k < planes; k++) {
                let pairs = load_quad(stacks[layer + 2u + k], quad);
                cover = min(cover + (pairs & vec4(0xffffu)), vec4(FULL));
                let now = scale4(scale4(cover, strength), left);
                let paint = pairs >> vec4(16u);
                let mask = vec4(mask_of(paint.x), mask_of(paint.y), mask_of(paint.z), mask_of(paint.w));
                found += (now - shown) & mask;
                shown = now;
            }
            left -= shown;
            if all(left == vec4(0u)) {
                break;
            }
        }
        // A share of 255, rounded; the same byte three times.
        let share = ((found * 255u) + (FULL / 2u)) / FULL;
        greys[group.x * QUADS + quad] = share * 0x00010101u;
    }
}
