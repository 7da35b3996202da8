// Mixture: lays a mixture through a mask, all its layers before anything is written. Reads the base planes and the mask, writes the new planes.
// One workgroup row a job, 256 lanes, a quad of four neighbouring pixels at a time. A kernel beside commit.wgsl, because its layers lie in
// registers, and a kernel with many of them runs on fewer lanes at once.

// Covers of the layers of a mixture, first laid first, at a cover of the whole. Mirror: covers in render/src/load.rs.
fn covers_of_layers(job: u32, whole: vec4<u32>) -> array<vec4<u32>, 8> {
    var covers: array<vec4<u32>, 8>;
    var left = vec4(FULL);
    for (var i = jobs[job].layers; i > 0u; i--) {
        let wanted = scale4(whole, vec4(jobs[job].mixture[i - 1u] & 0xffffu));
        let part = (wanted * FULL + left / vec4(2u)) / max(left, vec4(1u));
        covers[i - 1u] = select(min(part, vec4(FULL)), vec4(0u), left == vec4(0u));
        left -= min(wanted, left);
    }
    return covers;
}

// Four pixels at once, as commit_quad: tells whether it was the common case.
fn mix_quad(job: u32, quad: u32, covers: ptr<function, array<vec4<u32>, 8>>, src_planes: u32, dst_planes: u32) -> bool {
    let pure_class = jobs[job].pure_class != 0u;
    var words: array<vec4<u32>, 8>;
    for (var k = 0u; k < src_planes; k++) {
        words[k] = load_quad(jobs[job].src[k], quad);
    }
    var planes = src_planes;
    for (var layer = 0u; layer < jobs[job].layers; layer++) {
        let paint = jobs[job].mixture[layer] >> 16u;
        let cover = (*covers)[layer];
        var board = vec4(0u);
        if !pure_class {
            for (var k = 0u; k < planes; k++) {
                board = min(board + board_amounts(words[k]), vec4(FULL));
            }
        }
        var q = quad_of(board, cover, paint);
        for (var k = 0u; k < planes; k++) {
            words[k] = next_plane(&q, words[k], cover, paint, pure_class);
            if !q.plain {
                return false;
            }
        }
        if any(q.pending != vec4(0u)) {
            if planes == MAX_PLANES {
                return false;
            }
            words[planes] = q.pending;
            planes++;
        }
    }
    for (var k = 0u; k < dst_planes; k++) {
        store_quad(jobs[job].dst[k], quad, words[k]);
    }
    return true;
}

// Four pixels of a mixture.
fn mix_pixels(job: u32, quad: u32, cover: vec4<u32>, src_planes: u32, dst_planes: u32) {
    var covers = covers_of_layers(job, cover);
    if mix_quad(job, quad, &covers, src_planes, dst_planes) {
        return;
    }
    for (var layer = 0u; layer < jobs[job].layers; layer++) {
        let again = layer > 0u;
        let paint = jobs[job].mixture[layer] >> 16u;
        for (var i = 0u; i < 4u; i++) {
            let below = select(src_planes, dst_planes, again);
            commit_pixel(job, quad * 4u + i, covers[layer][i], paint, below, dst_planes, again);
        }
    }
}

@compute @workgroup_size(256)
fn mixture(@builtin(workgroup_id) group: vec3<u32>, @builtin(local_invocation_index) lane: u32) {
    let job = group.x;
    let src_planes = jobs[job].src_planes;
    let dst_planes = jobs[job].dst_planes;
    let even = jobs[job].even;
    let mask_at = jobs[job].mask_at >> 1u;
    for (var step = 0u; step < params.steps; step++) {
        let quad = (group.y * params.steps + step) * LANES + lane;
        let cover = covers_of(even, mask_words(even, mask_at, quad));
        mix_pixels(job, quad, cover, src_planes, dst_planes);
    }
}
