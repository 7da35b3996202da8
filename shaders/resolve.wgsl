// Resolve: from visible amounts to colour. Reads stacks of planes and the latent points of the paints, writes packed 8-bit
// sRGB RGBA, red lowest, tile after tile. One workgroup row a stack, 256 lanes. Mirror: render/src/cpu/resolve.rs.

@group(0) @binding(4) var<storage, read> stacks: array<u32>;
@group(0) @binding(5) var<storage, read> latents: array<vec4<f32>>;
@group(0) @binding(6) var<storage, read_write> colours: array<vec4<u32>>;
@group(0) @binding(7) var<uniform> params: Params;

// A weighted sum of latent points to packed colour.
fn finish(sum: vec3<f32>) -> u32 {
    let linear = linear_of_latent(sum * (1.0 / 65535.0), params.mixing);
    return pack4x8unorm(vec4(srgb_encode(into_srgb(linear)), 1.0));
}

// A pixel of one pass of full strength, which shows as it is stored: its lowest four pairs are all it has.
fn stored(pairs: vec4<u32>) -> u32 {
    // Held to full cover, so that an overfull pixel of a damaged tile cannot turn what is left around.
    let amounts = pairs & vec4(0xffffu);
    let two = min(amounts.x + amounts.y, FULL);
    let three = min(two + amounts.z, FULL);
    let four = min(three + amounts.w, FULL);
    let weight = vec4<f32>(vec4(amounts.x, two - amounts.x, three - two, four - three));
    let paint = entries_of(pairs >> vec4(16u));
    // An empty place shows nothing of the ground, so it needs no branch.
    var sum = latents[paint.x].xyz * weight.x + latents[paint.y].xyz * weight.y;
    if any(pairs.zw != vec2(0u)) {
        sum += latents[paint.z].xyz * weight.z + latents[paint.w].xyz * weight.w;
    }
    return finish(sum + latents[0].xyz * f32(FULL - four));
}

// The same for four neighbours, with all they have in registers.
fn stored_quad(first: u32, planes: u32, quad: u32) -> vec4<u32> {
    var a = vec4(0u);
    var b = vec4(0u);
    var c = vec4(0u);
    var d = vec4(0u);
    if planes > 0u {
        a = load_quad(stacks[first + 2u], quad);
    }
    if planes > 1u {
        b = load_quad(stacks[first + 3u], quad);
    }
    if planes > 2u {
        c = load_quad(stacks[first + 4u], quad);
    }
    if planes > 3u {
        d = load_quad(stacks[first + 5u], quad);
    }
    // Masses are flat: where all four pixels hold the same pairs one colour is worked out.
    let same = (a == a.xxxx) & (b == b.xxxx) & (c == c.xxxx) & (d == d.xxxx);
    let shown = stored(vec4(a.x, b.x, c.x, d.x));
    if all(same) {
        return vec4(shown);
    }
    return vec4(
        shown,
        stored(vec4(a.y, b.y, c.y, d.y)),
        stored(vec4(a.z, b.z, c.z, d.z)),
        stored(vec4(a.w, b.w, c.w, d.w)),
    );
}

@compute @workgroup_size(256)
fn resolve(@builtin(workgroup_id) group: vec3<u32>, @builtin(local_invocation_index) lane: u32) {
    let first = stacks[group.x];
    let end = stacks[group.x + 1u];
    let ground = latents[0].xyz;
    let plain = end == first + LAYER_WORDS && stacks[first] == FULL;
    if plain && stacks[first + 1u] <= 4u {
        let planes = stacks[first + 1u];
        for (var step = 0u; step < params.steps; step++) {
            let quad = (group.y * params.steps + step) * LANES + lane;
            colours[group.x * QUADS + quad] = stored_quad(first, planes, quad);
        }
        return;
    }
    for (var step = 0u; step < params.steps; step++) {
        let quad = (group.y * params.steps + step) * LANES + lane;
        // One column a pixel.
        var sum = mat4x3<f32>();
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
                sum[0] += latents[paint.x].xyz * weight.x;
                sum[1] += latents[paint.y].xyz * weight.y;
                sum[2] += latents[paint.z].xyz * weight.z;
                sum[3] += latents[paint.w].xyz * weight.w;
                shown = now;
            }
            left -= shown;
            if all(left == vec4(0u)) {
                break;
            }
        }
        let bare = vec4<f32>(left);
        if even {
            colours[group.x * QUADS + quad] = vec4(finish(sum[0] + ground * bare.x));
            continue;
        }
        colours[group.x * QUADS + quad] = vec4(
            finish(sum[0] + ground * bare.x),
            finish(sum[1] + ground * bare.y),
            finish(sum[2] + ground * bare.z),
            finish(sum[3] + ground * bare.w),
        );
    }
}
