// The canvas as the painter looks at it. One triangle covers the area; every fragment finds its canvas point.
// `plain` fills where no canvas is; `direct` shows in one go; `gather`, `blur_x`, `blur_y`, `blurred` show through half-shut eyes.

// Mirror: ShowUniforms in app/src/ui/canvas_view/show.rs.
struct Show {
    // canvas x and y are each dot(row.xyz, vec3(window x, window y, 1)); window pixels
    row_x: vec4<f32>,
    row_y: vec4<f32>,
    // canvas pixels
    size: vec2<f32>,
    // texels of the torus that holds the tiles
    torus: vec2<f32>,
    // canvas pixels per texel
    texel: f32,
    // window pixels per canvas pixel
    scale: f32,
    // encoded sRGB grey, 0-1
    surround: f32,
    // 0 colour, 1 value, 2 two-tone, 3 difference of value from the photo
    look: u32,
    // L* where one value ends and the next begins; the last are above 100 when there are fewer than five values
    thresholds: vec4<f32>,
    values: f32,
    // 1: what is not of the lit swatch recedes
    lit: u32,
    // 1: the target encodes sRGB itself
    target_encodes: u32,
    // 1: nearest texel
    nearest: u32,
    // offscreen texel (0,0) in window pixels, window pixels per offscreen texel, standard deviation in offscreen texels
    blur: vec4<f32>,
    // offscreen texels
    blur_size: vec2<f32>,
    // L* that the whole painting is lighter than the photo
    shift: f32,
    spare: f32,
};

@group(0) @binding(0) var<uniform> show: Show;
@group(0) @binding(1) var tiles: texture_2d<f32>;
@group(0) @binding(2) var shares: texture_2d<f32>;
@group(0) @binding(3) var wrapping: sampler;
// L* in hundredths, and whether the photo is there
@group(0) @binding(4) var photo: texture_2d<f32>;
@group(1) @binding(0) var source: texture_2d<f32>;
@group(1) @binding(1) var clamping: sampler;

@vertex
fn cover(@builtin(vertex_index) index: u32) -> @builtin(position) vec4<f32> {
    // One triangle over everything: (-1,-1), (3,-1), (-1,3).
    let x = f32(i32(index & 1u) * 4 - 1);
    let y = f32(i32(index >> 1u) * 4 - 1);
    return vec4<f32>(x, y, 0.0, 1.0);
}

fn canvas_point(window: vec2<f32>) -> vec2<f32> {
    let w = vec3<f32>(window, 1.0);
    return vec2<f32>(dot(show.row_x.xyz, w), dot(show.row_y.xyz, w));
}

// How much of a window pixel lies on the canvas; soft by one pixel where the edge runs aslant.
fn on_canvas(c: vec2<f32>) -> f32 {
    let inside = min(c, show.size - c) * show.scale + 0.5;
    let cover = clamp(inside, vec2<f32>(0.0), vec2<f32>(1.0));
    return cover.x * cover.y;
}

// Where the torus holds a canvas point, 0-1. Never beyond the middle of the outermost pixels of the canvas.
fn torus_point(c: vec2<f32>) -> vec2<f32> {
    let half = 0.5 * show.texel;
    var t = clamp(c, vec2<f32>(half), max(show.size - half, vec2<f32>(half))) / show.texel;
    if show.nearest == 1u {
        t = floor(t) + 0.5;
    }
    return t / show.torus;
}

// Relative luminance of linear sRGB (IEC 61966-2-1).
fn luminance(v: vec3<f32>) -> f32 {
    return dot(v, vec3<f32>(0.2126, 0.7152, 0.0722));
}

// CIE 1976 L* (CIE 15:2004) and back.
fn l_star(y: f32) -> f32 {
    return select(116.0 * pow(y, 1.0 / 3.0) - 16.0, y * 903.2963, y <= 0.008856452);
}

fn y_of_l_star(l: f32) -> f32 {
    let f = (l + 16.0) / 116.0;
    return select(f * f * f, l / 903.2963, l <= 8.0);
}

fn finish(encoded: vec3<f32>) -> vec4<f32> {
    if show.target_encodes == 1u {
        return vec4<f32>(srgb_decode(encoded), 1.0);
    }
    return vec4<f32>(encoded, 1.0);
}

// Greys of the difference of value: L* of none, and how much a difference is spread.
const AS_THE_PHOTO: f32 = 50.0;
const SPREAD: f32 = 2.0;

// Encoded grey of how much lighter a value is than that of the photo at a canvas point; the surround where there is no photo.
fn difference(l: f32, c: vec2<f32>) -> vec3<f32> {
    let half = 0.5 / vec2<f32>(textureDimensions(photo));
    let there = textureSampleLevel(photo, wrapping, clamp(c / show.size, half, 1.0 - half), 0.0).rg;
    if there.g < 0.99 {
        return vec3<f32>(show.surround);
    }
    let off = l - show.shift - 100.0 * there.r;
    return srgb_encode(vec3<f32>(y_of_l_star(clamp(AS_THE_PHOTO + SPREAD * off, 0.0, 100.0))));
}

// Encoded colour of a canvas colour in linear light at a canvas point, as it is looked at; `at` is the point in the torus.
fn looked_at(linear: vec3<f32>, at: vec2<f32>, c: vec2<f32>) -> vec3<f32> {
    var seen = srgb_encode(clamp(linear, vec3<f32>(0.0), vec3<f32>(1.0)));
    let y = clamp(luminance(linear), 0.0, 1.0);
    if show.look == 1u {
        // The grey of this L*: L* depends on Y alone.
        seen = srgb_encode(vec3<f32>(y));
    } else if show.look == 2u {
        let l = l_star(y);
        let steps = select(vec4<f32>(0.0), vec4<f32>(1.0), vec4<f32>(l) >= show.thresholds);
        let step = dot(steps, vec4<f32>(1.0));
        seen = srgb_encode(vec3<f32>(y_of_l_star((step + 0.5) / show.values * 100.0)));
    } else if show.look == 3u {
        seen = difference(l_star(y), c);
    }
    if show.lit == 1u {
        let share = textureSampleLevel(shares, wrapping, at, 0.0).r;
        let back = mix(srgb_encode(vec3<f32>(y)), vec3<f32>(show.surround), 0.72);
        seen = mix(back, seen, share);
    }
    return seen;
}

@fragment
fn plain() -> @location(0) vec4<f32> {
    return finish(vec3<f32>(show.surround));
}

@fragment
fn direct(@builtin(position) position: vec4<f32>) -> @location(0) vec4<f32> {
    let c = canvas_point(position.xy);
    let cover = on_canvas(c);
    let surround = vec3<f32>(show.surround);
    if cover <= 0.0 {
        return finish(surround);
    }
    let at = torus_point(c);
    let seen = looked_at(textureSampleLevel(tiles, wrapping, at, 0.0).rgb, at, c);
    return finish(mix(surround, seen, cover));
}

@fragment
fn gather(@builtin(position) position: vec4<f32>) -> @location(0) vec4<f32> {
    let c = canvas_point(show.blur.xy + position.xy * show.blur.z);
    let inside = all(c >= vec2<f32>(0.0)) && all(c < show.size);
    if !inside {
        return vec4<f32>(0.0);
    }
    return vec4<f32>(textureSampleLevel(tiles, wrapping, torus_point(c), 0.0).rgb, 1.0);
}

// One direction of a Gaussian. What lies off the canvas has no weight: it is not there to be seen.
fn blur(position: vec2<f32>, along: vec2<i32>) -> vec4<f32> {
    let sigma = show.blur.w;
    let reach = i32(ceil(3.0 * sigma));
    let last = vec2<i32>(show.blur_size) - 1;
    let here = vec2<i32>(position);
    var sum = vec4<f32>(0.0);
    var weights = 0.0;
    for (var i = -reach; i <= reach; i++) {
        let weight = exp(-0.5 * f32(i * i) / (sigma * sigma));
        sum += weight * textureLoad(source, clamp(here + i * along, vec2<i32>(0), last), 0);
        weights += weight;
    }
    return sum / weights;
}

@fragment
fn blur_x(@builtin(position) position: vec4<f32>) -> @location(0) vec4<f32> {
    return blur(position.xy, vec2<i32>(1, 0));
}

@fragment
fn blur_y(@builtin(position) position: vec4<f32>) -> @location(0) vec4<f32> {
    return blur(position.xy, vec2<i32>(0, 1));
}

@fragment
fn blurred(@builtin(position) position: vec4<f32>) -> @location(0) vec4<f32> {
    let c = canvas_point(position.xy);
    let cover = on_canvas(c);
    let surround = vec3<f32>(show.surround);
    if cover <= 0.0 {
        return finish(surround);
    }
    let at = (position.xy - show.blur.xy) / show.blur.z / show.blur_size;
    let sum = textureSampleLevel(source, clamping, at, 0.0);
    let linear = sum.rgb / max(sum.a, 1e-4);
    return finish(mix(surround, looked_at(linear, torus_point(c), c), cover));
}
