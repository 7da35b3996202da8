// Colours that the screen cannot show, brought into sRGB: W3C CSS Color 4, section 13.2, "Binary Search Gamut Mapping with Local
// MINDE", as in model/src/colour/gamut.rs. Linear sRGB in and out. Needs mixing.wgsl. Mirror: render/src/cpu/gamut.rs.

// deltaEOK; chroma and deltaEOK; linear components. Sources: model/src/colour/gamut.rs.
const JUST_NOTICEABLE: f32 = 0.02;
const SEARCH_EPSILON: f32 = 1e-4;
const ROUNDING: f32 = 1e-5;
// Where the search starts at most, and the rounds it takes from there.
const LARGEST_CHROMA: f32 = 1.0;
const CHROMA_ROUNDS: u32 = 14u;

// OKLab of linear sRGB: B. Ottosson, "A perceptual color space for image processing", 2020.
fn oklab_of_linear(rgb: vec3<f32>) -> vec3<f32> {
    let lms = vec3(
        0.4122214708 * rgb.x + 0.5363325363 * rgb.y + 0.0514459929 * rgb.z,
        0.2119034982 * rgb.x + 0.6806995451 * rgb.y + 0.1073969566 * rgb.z,
        0.0883024619 * rgb.x + 0.2817188376 * rgb.y + 0.6299787005 * rgb.z,
    );
    let root = sign(lms) * pow(abs(lms), vec3(1.0 / 3.0));
    return vec3(
        0.2104542553 * root.x + 0.7936177850 * root.y - 0.0040720468 * root.z,
        1.9779984951 * root.x - 2.4285922050 * root.y + 0.4505937099 * root.z,
        0.0259040371 * root.x + 0.7827717662 * root.y - 0.8086757660 * root.z,
    );
}

fn clip(linear: vec3<f32>) -> vec3<f32> {
    return clamp(linear, vec3(0.0), vec3(1.0));
}

fn map_into_srgb(linear: vec3<f32>) -> vec3<f32> {
    let start = oklab_of_linear(linear);
    if start.x >= 1.0 {
        return vec3(1.0);
    }
    if !(start.x > 0.0) {
        return vec3(0.0);
    }
    var clipped = clip(linear);
    if distance(oklab_of_linear(clipped), start) < JUST_NOTICEABLE {
        return clipped;
    }
    let chroma = length(start.yz);
    var direction = vec2(1.0, 0.0);
    if chroma > 0.0 {
        direction = start.yz / chroma;
    }
    var low = 0.0;
    var high = min(chroma, LARGEST_CHROMA);
    var low_is_inside = true;
    for (var round = 0u; round < CHROMA_ROUNDS; round++) {
        let middle = 0.5 * (low + high);
        let place = vec3(start.x, middle * direction);
        let raw = linear_of_oklab(place);
        let held = clip(raw);
        if low_is_inside && all(raw == held) {
            low = middle;
        } else {
            clipped = held;
            let error = distance(oklab_of_linear(held), place);
            if error >= JUST_NOTICEABLE {
                high = middle;
            } else if JUST_NOTICEABLE - error < SEARCH_EPSILON {
                break;
            } else {
                low_is_inside = false;
                low = middle;
            }
        }
        if high - low <= SEARCH_EPSILON {
            break;
        }
    }
    return clipped;
}

// Brings linear sRGB into 0-1: what lies outside by rounding alone is clipped, what lies further out is mapped.
fn into_srgb(linear: vec3<f32>) -> vec3<f32> {
    if any(linear < vec3(-ROUNDING)) || any(linear > vec3(1.0 + ROUNDING)) {
        return map_into_srgb(linear);
    }
    return clip(linear);
}
