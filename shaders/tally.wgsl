// Tally: visible amounts per paint. Reads stacks of planes, adds to one row of `params.paints` sums a stack (u32: a tile's
// sum stays below 2^30). One workgroup row a stack, 256 lanes. Mirror: render/src/cpu/tally.rs.

@group(0) @binding(4) var<storage, read> stacks: array<u32>;
@group(0) @binding(6) var<storage, read_write> sums: array<atomic<u32>>;
@group(0) @binding(7) var<uniform> params: Params;

// Paints counted in one dispatch. Mirror: TALLY_PAINTS in render/src/gpu/layout.rs.
const TALLY_PAINTS: u32 = 2048u;
var<workgroup> counted: array<atomic<u32>, TALLY_PAINTS>;

fn count(paint: u32, amount: u32) {
    let place = entry_of(paint) - params.first_paint;
    // A paint of another dispatch wraps to a large number, or lies above.
    if amount != 0u && place < params.paints {
        atomicAdd(&counted[place], amount);
    }
}

@compute @workgroup_size(256)
fn tally(@builtin(workgroup_id) group: vec3<u32>, @builtin(local_invocation_index) lane: u32) {
    for (var i = lane; i < params.paints; i += LANES) {
        atomicStore(&counted[i], 0u);
    }
    workgroupBarrier();
    let first = stacks[group.x];
    let end = stacks[group.x + 1u];
    let start = group.y * params.steps * LANES + lane;
    if end == first + LAYER_WORDS && stacks[first] == FULL {
        // One pass of full strength: what is stored is what shows. Neighbours mostly hold the same paint, so the sum stays
        // in a register until the id changes.
        let planes = stacks[first + 1u];
        for (var k = 0u; k < planes; k++) {
            let page = stacks[first + 2u + k];
            var paint = 0u;
            var sum = 0u;
            // The next quad is on its way while one is counted.
            var next = load_quad(page, start);
            for (var step = 1u; step <= params.steps; step++) {
                let pairs = next;
                if step < params.steps {
                    next = load_quad(page, start + step * LANES);
                }
                let paints = pairs >> vec4(16u);
                let amounts = pairs & vec4(0xffffu);
                if all(paints == vec4(paint)) {
                    sum += amounts.x + amounts.y + amounts.z + amounts.w;
                    continue;
                }
                for (var i = 0u; i < 4u; i++) {
                    if paints[i] != paint {
                        count(paint, sum);
                        paint = paints[i];
                        sum = 0u;
                    }
                    sum += amounts[i];
                }
            }
            count(paint, sum);
        }
    } else {
        for (var step = 0u; step < params.steps; step++) {
            let quad = start + step * LANES;
            var left = vec4(FULL);
            for (var layer = first; layer < end; layer += LAYER_WORDS) {
                let strength = vec4(stacks[layer]);
                let planes = stacks[layer + 1u];
                var cover = vec4(0u);
                var shown = vec4(0u);
                for (var k = 0u; k < planes; k++) {
                    let pairs = load_quad(stacks[layer + 2u + k], quad);
                    cover = min(cover + (pairs & vec4(0xffffu)), vec4(FULL));
                    let now = scale4(scale4(cover, strength), left);
                    let amounts = now - shown;
                    let paints = pairs >> vec4(16u);
                    if all(paints == paints.xxxx) {
                        count(paints.x, amounts.x + amounts.y + amounts.z + amounts.w);
                    } else {
                        count(paints.x, amounts.x);
                        count(paints.y, amounts.y);
                        count(paints.z, amounts.z);
                        count(paints.w, amounts.w);
                    }
                    shown = now;
                }
                left -= shown;
                // What lies below is not seen.
                if all(left == vec4(0u)) {
                    break;
                }
            }
        }
    }
    workgroupBarrier();
    for (var i = lane; i < params.paints; i += LANES) {
        let sum = atomicLoad(&counted[i]);
        if sum != 0u {
            atomicAdd(&sums[group.x * params.paints + i], sum);
        }
    }
}
