// What both kernels that write planes share: their jobs, the banks, and what laying or scraping makes of a pixel and of four neighbours.
// Units: amounts and cover in 1/65535. The definition of both operations is render/src/pixel.rs. Mirror: render/src/cpu/commit.rs.

// `even` of a job whose mask has pixels.
const MASK_HAS_PIXELS: u32 = 0xffffffffu;
const QUADS: u32 = TILE_PIXELS / 4u;

// Mirror: CommitWords in render/src/gpu/layout.rs.
struct Job {
    // Paint to lay, 0 to scrape or to lay a mixture.
    paint: u32,
    // Paints of a mixture; 0 without one.
    layers: u32,
    // 1: all paint here is of one class.
    pure_class: u32,
    src_planes: u32,
    dst_planes: u32,
    // Cover where the mask is even, or MASK_HAS_PIXELS.
    even: u32,
    // First word of the mask's pixels, two pixels a word; an even number.
    mask_at: u32,
    src: array<u32, 8>,
    dst: array<u32, 8>,
    // Paints of the mixture with their shares of 65535, packed as pairs are, first laid first.
    mixture: array<u32, 8>,
}

@group(0) @binding(0) var<storage, read_write> bank0: array<vec4<u32>>;
@group(0) @binding(1) var<storage, read_write> bank1: array<vec4<u32>>;
@group(0) @binding(2) var<storage, read_write> bank2: array<vec4<u32>>;
@group(0) @binding(3) var<storage, read_write> bank3: array<vec4<u32>>;
@group(0) @binding(4) var<storage, read> jobs: array<Job>;
@group(0) @binding(5) var<storage, read> paints: array<PaintInts>;
@group(0) @binding(6) var<storage, read> masks: array<vec2<u32>>;
@group(0) @binding(7) var<uniform> params: Params;

fn load_quad(page: u32, quad: u32) -> vec4<u32> {
    let at = (page & PLACE_MASK) * QUADS + quad;
    switch page >> BANK_SHIFT {
        case 0u: { return bank0[at]; }
        case 1u: { return bank1[at]; }
        case 2u: { return bank2[at]; }
        default: { return bank3[at]; }
    }
}

fn store_quad(page: u32, quad: u32, pairs: vec4<u32>) {
    let at = (page & PLACE_MASK) * QUADS + quad;
    switch page >> BANK_SHIFT {
        case 0u: { bank0[at] = pairs; }
        case 1u: { bank1[at] = pairs; }
        case 2u: { bank2[at] = pairs; }
        default: { bank3[at] = pairs; }
    }
}

fn load_word(page: u32, pixel: u32) -> u32 {
    let at = (page & PLACE_MASK) * QUADS + (pixel >> 2u);
    let i = pixel & 3u;
    switch page >> BANK_SHIFT {
        case 0u: { return bank0[at][i]; }
        case 1u: { return bank1[at][i]; }
        case 2u: { return bank2[at][i]; }
        default: { return bank3[at][i]; }
    }
}

fn store_word(page: u32, pixel: u32, word: u32) {
    let at = (page & PLACE_MASK) * QUADS + (pixel >> 2u);
    let i = pixel & 3u;
    switch page >> BANK_SHIFT {
        case 0u: { bank0[at][i] = word; }
        case 1u: { bank1[at][i] = word; }
        case 2u: { bank2[at][i] = word; }
        default: { bank3[at][i] = word; }
    }
}

fn is_free(paint: u32) -> bool {
    return paints[entry_of(paint)].free != 0u;
}

// The same for four pairs.
fn are_free(pairs: vec4<u32>) -> vec4<bool> {
    let at = entries_of(pairs >> vec4(16u));
    return vec4(paints[at.x].free, paints[at.y].free, paints[at.z].free, paints[at.w].free) != vec4(0u);
}

// OKLab distance in whole steps, squared. Mirror: distance_squared in render/src/paints.rs.
fn distance_squared(a: u32, b: u32) -> u32 {
    let p = paints[entry_of(a)];
    let q = paints[entry_of(b)];
    let l = u32(abs(p.l - q.l));
    let x = u32(abs(p.a - q.a));
    let y = u32(abs(p.b - q.b));
    return l * l + x * x + y * y;
}

// a * b in 64 bits: (low, high).
fn wide(a: u32, b: u32) -> vec2<u32> {
    let low = (a & 0xffffu) * (b & 0xffffu);
    let m1 = (a >> 16u) * (b & 0xffffu);
    let m2 = (a & 0xffffu) * (b >> 16u);
    let middle = (low >> 16u) + (m1 & 0xffffu) + (m2 & 0xffffu);
    let high = (a >> 16u) * (b >> 16u) + (m1 >> 16u) + (m2 >> 16u) + (middle >> 16u);
    return vec2((low & 0xffffu) | (middle << 16u), high);
}

// Nine pairs to eight: merges the two of one class that cost least. The first eight are in the new planes already.
// Mirror: merge_cheapest in render/src/pixel.rs.
fn merge_cheapest(job: u32, pixel: u32, extra: u32) {
    var nine: array<u32, 9>;
    for (var k = 0u; k < MAX_PLANES; k++) {
        nine[k] = load_word(jobs[job].dst[k], pixel);
    }
    nine[8] = extra;
    var best = vec2(0xffffffffu, 0xffffffffu);
    var keep = 0u;
    var gone = 1u;
    for (var i = 0u; i < 9u; i++) {
        for (var j = i + 1u; j < 9u; j++) {
            let a = nine[i];
            let b = nine[j];
            if is_free(a >> 16u) == is_free(b >> 16u) {
                let w1 = a & 0xffffu;
                let w2 = b & 0xffffu;
                let cost = wide(distance_squared(a >> 16u, b >> 16u), 4u * w1 * w2 / (w1 + w2));
                if cost.y < best.y || (cost.y == best.y && cost.x < best.x) {
                    best = cost;
                    keep = i;
                    gone = j;
                }
            }
        }
    }
    let a = nine[keep];
    let b = nine[gone];
    let both = (a & 0xffffu) + (b & 0xffffu);
    let keeper = select(a, b, (b & 0xffffu) > (a & 0xffffu));
    nine[keep] = (keeper & 0xffff0000u) | both;
    var place = 0u;
    for (var k = 0u; k < 9u; k++) {
        if k != gone {
            store_word(jobs[job].dst[place], pixel, nine[k]);
            place++;
        }
    }
}

// The page that a layer of a mixture reads: that of the base, or what the layers below it made.
fn page_below(job: u32, k: u32, again: bool) -> u32 {
    if again {
        return jobs[job].dst[k];
    }
    return jobs[job].src[k];
}

// Cover is 0-65535. Where it is 0 nothing may change, not even the order of pairs. `again`: over what a layer below has made, in its place;
// no word is written before it was read.
fn commit_pixel(job: u32, pixel: u32, cover: u32, paint: u32, src_planes: u32, dst_planes: u32, again: bool) {
    if cover == 0u {
        for (var k = 0u; k < dst_planes; k++) {
            var word = 0u;
            if k < src_planes {
                word = load_word(page_below(job, k, again), pixel);
            }
            store_word(jobs[job].dst[k], pixel, word);
        }
        return;
    }
    let keep = FULL - cover;
    var board_total = 0u;
    let pure_class = jobs[job].pure_class != 0u;
    if !pure_class {
        for (var k = 0u; k < src_planes; k++) {
            let pair = load_word(page_below(job, k, again), pixel);
            if pair != 0u && !is_free(pair >> 16u) {
                board_total = min(board_total + (pair & 0xffffu), FULL);
            }
        }
    }
    // Running sums before and after rounding; free paints start where the board paints end.
    var board = 0u;
    var board_kept = 0u;
    var free = board_total;
    var free_kept = scale(board_total, keep);
    var count = 0u;
    var pending = select(0u, (paint << 16u) | cover, paint != 0u);
    for (var k = 0u; k < src_planes; k++) {
        let pair = load_word(page_below(job, k, again), pixel);
        if pair == 0u {
            break;
        }
        var amount: u32;
        if !pure_class && is_free(pair >> 16u) {
            free = min(free + (pair & 0xffffu), FULL);
            let now = scale(free, keep);
            amount = now - free_kept;
            free_kept = now;
        } else {
            board = min(board + (pair & 0xffffu), FULL);
            let now = scale(board, keep);
            amount = now - board_kept;
            board_kept = now;
        }
        // A tile has a plane for every paint it may hold; a damaged one with a paint twice must not write beyond its planes.
        if amount != 0u && count < dst_planes {
            if pending != 0u && (pair >> 16u) == paint {
                amount += cover;
                pending = 0u;
            }
            store_word(jobs[job].dst[count], pixel, (pair & 0xffff0000u) | amount);
            count++;
        }
    }
    if pending != 0u {
        if count == MAX_PLANES {
            merge_cheapest(job, pixel, pending);
            return;
        }
        if count < dst_planes {
            store_word(jobs[job].dst[count], pixel, pending);
            count++;
        }
    }
    for (var k = count; k < dst_planes; k++) {
        store_word(jobs[job].dst[k], pixel, 0u);
    }
}

// Four pixels on their way through the planes.
struct Quad {
    // Running sums before and after rounding; free paints start where the board paints end.
    board: vec4<u32>,
    board_kept: vec4<u32>,
    free: vec4<u32>,
    free_kept: vec4<u32>,
    // What is laid and has no place yet.
    pending: vec4<u32>,
    // Whether an empty place was met.
    ended: vec4<bool>,
    // Whether it was the common case so far.
    plain: bool,
}

// Before the first plane; `board` is the board paint of all planes where both classes are there.
fn quad_of(board: vec4<u32>, cover: vec4<u32>, paint: u32) -> Quad {
    let none = vec4(0u);
    let laid = select(none, vec4(paint << 16u) | cover, (cover != none) & vec4(paint != 0u));
    return Quad(none, none, board, scale4(board, vec4(FULL) - cover), laid, vec4(false), true);
}

fn board_amounts(pairs: vec4<u32>) -> vec4<u32> {
    return select(pairs & vec4(0xffffu), vec4(0u), are_free(pairs));
}

// What becomes of a plane of four pixels.
fn next_plane(q: ptr<function, Quad>, pairs: vec4<u32>, cover: vec4<u32>, paint: u32, pure_class: bool) -> vec4<u32> {
    let none = vec4(0u);
    let touched = cover != none;
    let keep = vec4(FULL) - cover;
    let amounts = pairs & vec4(0xffffu);
    let there = pairs != none;
    var kept: vec4<u32>;
    if pure_class {
        (*q).board = min((*q).board + amounts, vec4(FULL));
        let now = scale4((*q).board, keep);
        kept = now - (*q).board_kept;
        (*q).board_kept = now;
    } else {
        let of_free = are_free(pairs);
        (*q).board = min((*q).board + select(amounts, none, of_free), vec4(FULL));
        (*q).free = min((*q).free + select(none, amounts, of_free), vec4(FULL));
        let board_now = scale4((*q).board, keep);
        let free_now = scale4((*q).free, keep);
        kept = select(board_now - (*q).board_kept, free_now - (*q).free_kept, of_free);
        (*q).board_kept = board_now;
        (*q).free_kept = free_now;
    }
    // A pair that fades away leaves its plane to the next; one after an empty place is there in damaged tiles alone.
    (*q).plain = (*q).plain && !any(touched & there & ((*q).ended | (kept == none)));
    (*q).ended = (*q).ended | !there;
    let same = there & ((pairs >> vec4(16u)) == vec4(paint)) & ((*q).pending != none);
    kept += select(none, cover, same);
    (*q).pending = select((*q).pending, none, same);
    // The paint that is laid takes the first empty place.
    let laid = select((*q).pending, (pairs & vec4(0xffff0000u)) | kept, there);
    (*q).pending = select(none, (*q).pending, there);
    return select(pairs, laid, touched);
}

// Cover of four pixels: that of an even mask, or two words of its pixels.
fn covers_of(even: u32, words: vec2<u32>) -> vec4<u32> {
    if even != MASK_HAS_PIXELS {
        return vec4(even);
    }
    return vec4(words.x & 0xffffu, words.x >> 16u, words.y & 0xffffu, words.y >> 16u);
}

// Two words of a mask that has pixels; else nothing.
fn mask_words(even: u32, mask_at: u32, quad: u32) -> vec2<u32> {
    if even != MASK_HAS_PIXELS {
        return vec2(0u);
    }
    return masks[mask_at + quad];
}
