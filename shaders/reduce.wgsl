// Reduce: from packed colours, or shares as greys, tile after tile, to the texture that is drawn; a texel is the mean of a square of
// pixels. Only pixels on the canvas count; texels wholly beyond it repeat the nearest edge. One workgroup row a tile, 256 lanes.
// Mirror: app/src/ui/canvas_view/reduce.rs.

// Pixels of a side of a tile.
const SIDE: u32 = 128u;

// Mirror: PlaceWords in render/src/gpu/layout.rs.
struct Place {
    x: u32,
    y: u32,
    across: u32,
    down: u32,
}

@group(0) @binding(4) var<storage, read> places: array<Place>;
@group(0) @binding(6) var<storage, read> colours: array<u32>;
@group(0) @binding(7) var<uniform> params: Params;
@group(0) @binding(8) var shown: texture_storage_2d<rgba8unorm, write>;

@compute @workgroup_size(256)
fn reduce(@builtin(workgroup_id) group: vec3<u32>, @builtin(local_invocation_index) lane: u32) {
    let place = places[group.x];
    let last = vec2(place.across, place.down) - 1u;
    let step_px = 1u << params.level;
    let side = SIDE >> params.level;
    let start = group.x * TILE_PIXELS;
    for (var step = 0u; step < params.steps; step++) {
        let texel = ((group.y * params.steps) + step) * LANES + lane;
        if texel >= side * side {
            return;
        }
        let at = vec2(texel % side, texel / side);
        let low = min(at * step_px, last);
        let high = min(low + (step_px - 1u), last);
        let first = colours[start + low.y * SIDE + low.x];
        // Paint is even over most squares, and an even square keeps its code.
        var even = true;
        var sum = vec3(0.0);
        for (var y = low.y; y <= high.y; y++) {
            for (var x = low.x; x <= high.x; x++) {
                let word = colours[start + y * SIDE + x];
                even = even && word == first;
                let code = unpack4x8unorm(word).rgb;
                sum += select(code, srgb_decode(code), params.light == 1u);
            }
        }
        var shade = unpack4x8unorm(first).rgb;
        if !even {
            let squares = (high.x - low.x + 1u) * (high.y - low.y + 1u);
            let mean = sum / f32(squares);
            shade = select(mean, srgb_encode(mean), params.light == 1u);
        }
        textureStore(shown, vec2(place.x, place.y) + at, vec4(shade, 1.0));
    }
}
