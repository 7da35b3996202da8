// The picture of the window in the colours of the display: sRGB codes in, the display's codes out, through a table.
// One triangle covers the window; what is drawn again is cut out of it.

// sRGB codes, 0-1
@group(0) @binding(0) var picture: texture_2d<f32>;
// codes of the display, 0-1; the n-th node of a side stands for the sRGB code (n / (side - 1))²
@group(0) @binding(1) var table: texture_3d<f32>;

@vertex
fn cover(@builtin(vertex_index) index: u32) -> @builtin(position) vec4<f32> {
    // One triangle over everything: (-1,-1), (3,-1), (-1,3).
    let x = f32(i32(index & 1u) * 4 - 1);
    let y = f32(i32(index >> 1u) * 4 - 1);
    return vec4<f32>(x, y, 0.0, 1.0);
}

// Mirror: shown in model/src/display.rs.
fn shown(codes: vec3<f32>) -> vec3<f32> {
    let last = i32(textureDimensions(table).x) - 1;
    let place = sqrt(clamp(codes, vec3(0.0), vec3(1.0))) * f32(last);
    let low = min(vec3<i32>(place), vec3(last - 1));
    let part = place - vec3<f32>(low);
    // The two corners on the way from the lowest to the highest: along the largest part first, then the middle one.
    var one = vec3(0, 0, 1);
    var two = vec3(0, 1, 1);
    if part.x >= part.y && part.x >= part.z {
        one = vec3(1, 0, 0);
        two = select(vec3(1, 0, 1), vec3(1, 1, 0), part.y >= part.z);
    } else if part.y >= part.z {
        one = vec3(0, 1, 0);
        two = select(vec3(0, 1, 1), vec3(1, 1, 0), part.x >= part.z);
    } else {
        two = select(vec3(0, 1, 1), vec3(1, 0, 1), part.x >= part.y);
    }
    let first = max(part.x, max(part.y, part.z));
    let third = min(part.x, min(part.y, part.z));
    let second = max(min(part.x, part.y), min(max(part.x, part.y), part.z));
    return (1.0 - first) * textureLoad(table, low, 0).rgb
        + (first - second) * textureLoad(table, low + one, 0).rgb
        + (second - third) * textureLoad(table, low + two, 0).rgb
        + third * textureLoad(table, low + vec3(1), 0).rgb;
}

@fragment
fn display(@builtin(position) at: vec4<f32>) -> @location(0) vec4<f32> {
    let pixel = textureLoad(picture, vec2<i32>(at.xy), 0);
    return vec4(shown(pixel.rgb), pixel.a);
}
