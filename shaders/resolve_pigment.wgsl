// Resolve in the pigment model, whose latent points are four times as long: as resolve.wgsl otherwise. Reads stacks of planes and the
// latent points of the paints, writes packed 8-bit sRGB RGBA, red lowest, tile after tile. One workgroup row a stack, 256 lanes.
// Mirror: render/src/cpu/resolve.rs.

@group(0) @binding(4) var<storage, read> stacks: array<u32>;
@group(0) @binding(5) var<storage, read> latents: array<mat4x4<f32>>;
@group(0) @binding(6) var<storage, read_write> colours: array<vec4<u32>>;
@group(0) @binding(7) var<uniform> params: Params;

// A weighted sum of latent points to packed colour.
fn finish(sum: mat4x4<f32>) -> u32 {
    return pack4x8unorm(vec4(srgb_encode(into_srgb(linear_of_pigments(sum))), 1.0));
}

@compute @workgroup_size(256)
fn resolve_pigment(@builtin(workgroup_id) group: vec3<u32>, @builtin(local_invocation_index) lane: u32) {
    let first = stacks[group.x];
    let end = stacks[group.x + 1u];
    let ground = latents[0];
    // One pass of full strength shows as it is stored.
    let plain = end == first + LAYER_WORDS && stacks[first] == FULL;
    for (var step = 0u; step < params.steps; step++) {
        let quad = (group.y * params.steps + step) * LANES + lane;
        var sum_0 = mat4x4<f32>();
        var sum_1 = mat4x4<f32>();
        var sum_2 = mat4x4<f32>();
        var sum_3 = mat4x4<f32>();
        var left = vec4(FULL);
        // Masses are flat: where all four pixels hold the same pairs one colour is worked out.
        var even = true;
        for (var layer = first; layer < end; layer += LAYER_WORDS) {
            let strength = vec4(stacks[layer]);
            let planes = stacks[layer + 1u];
            var cover = vec4(0u);
            var shown = vec4(0u);
            for (var k = 0u; k < planes; k++) {
                let pairs = load_quad(stacks[layer + 2u + k], quad);
                even = even && all(pairs == pairs.xxxx);
                // Held to full cover, so that an overfull pixel of a damaged tile cannot turn what is left around.
                cover = min(cover + (pairs & vec4(0xffffu)), vec4(FULL));
                var now = cover;
                if !plain {
                    now = scale4(scale4(cover, strength), left);
                }
                // An empty place shows nothing of the ground, so it needs no branch.
                let paint = entries_of(pairs >> vec4(16u));
                let weight = vec4<f32>(now - shown);
                sum_0 += latents[paint.x] * weight.x;
                sum_1 += latents[paint.y] * weight.y;
                sum_2 += latents[paint.z] * weight.z;
                sum_3 += latents[paint.w] * weight.w;
                shown = now;
            }
            left -= shown;
            if all(left == vec4(0u)) {
                break;
            }
        }
        let bare = vec4<f32>(left);
        if even {
            colours[group.x * QUADS + quad] = vec4(finish(sum_0 + ground * bare.x));
            continue;
        }
        colours[group.x * QUADS + quad] = vec4(
            finish(sum_0 + ground * bare.x),
            finish(sum_1 + ground * bare.y),
            finish(sum_2 + ground * bare.z),
            finish(sum_3 + ground * bare.w),
        );
    }
}
