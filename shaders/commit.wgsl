// Commit: lays a paint, or scrapes, through a mask. Reads the base planes and the mask, writes the new planes.
// One workgroup row a job, 256 lanes, a quad of four neighbouring pixels at a time.

// Four pixels at once, in registers: the common case, in which every pair stays in its plane and none is merged. Tells whether it was
// that; else what it wrote must be written anew, pixel by pixel.
fn commit_quad(job: u32, quad: u32, words: vec2<u32>, even: u32, paint: u32, src_planes: u32, dst_planes: u32) -> bool {
    let pure_class = jobs[job].pure_class != 0u;
    // Two planes are on their way, beside the mask, while one is worked on.
    var next = vec4(0u);
    var after = vec4(0u);
    if src_planes > 0u {
        next = load_quad(jobs[job].src[0], quad);
    }
    if src_planes > 1u {
        after = load_quad(jobs[job].src[1], quad);
    }
    let cover = covers_of(even, words);
    var board = vec4(0u);
    if !pure_class {
        for (var k = 0u; k < src_planes; k++) {
            board = min(board + board_amounts(load_quad(jobs[job].src[k], quad)), vec4(FULL));
        }
    }
    var q = quad_of(board, cover, paint);
    for (var k = 0u; k < src_planes; k++) {
        let pairs = next;
        next = after;
        if k + 2u < src_planes {
            after = load_quad(jobs[job].src[k + 2u], quad);
        }
        let made = next_plane(&q, pairs, cover, paint, pure_class);
        if !q.plain {
            return false;
        }
        if k < dst_planes {
            store_quad(jobs[job].dst[k], quad, made);
        }
    }
    if src_planes == MAX_PLANES && any(q.pending != vec4(0u)) {
        return false;
    }
    for (var k = src_planes; k < dst_planes; k++) {
        store_quad(jobs[job].dst[k], quad, q.pending);
        q.pending = vec4(0u);
    }
    return true;
}

@compute @workgroup_size(256)
fn commit(@builtin(workgroup_id) group: vec3<u32>, @builtin(local_invocation_index) lane: u32) {
    let job = group.x;
    let paint = jobs[job].paint;
    let src_planes = jobs[job].src_planes;
    let dst_planes = jobs[job].dst_planes;
    let even = jobs[job].even;
    let mask_at = jobs[job].mask_at >> 1u;
    let start = group.y * params.steps * LANES + lane;
    // Rounds that were not the common case, a bit each (at most 16): they come last, apart from the loop that nearly all pixels take, which
    // is the faster for it.
    var uncommon = 0u;
    for (var step = 0u; step < params.steps; step++) {
        let quad = start + step * LANES;
        let words = mask_words(even, mask_at, quad);
        if !commit_quad(job, quad, words, even, paint, src_planes, dst_planes) {
            uncommon |= 1u << step;
        }
    }
    while uncommon != 0u {
        let quad = start + firstTrailingBit(uncommon) * LANES;
        uncommon &= uncommon - 1u;
        let cover = covers_of(even, mask_words(even, mask_at, quad));
        for (var i = 0u; i < 4u; i++) {
            commit_pixel(job, quad * 4u + i, cover[i], paint, src_planes, dst_planes, false);
        }
    }
}
