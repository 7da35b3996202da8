// The sRGB curves (IEC 61966-2-1) for components in linear light and encoded, both 0 or more. The same curves in Rust:
// model/src/colour/srgb.rs.

fn srgb_encode(linear: vec3<f32>) -> vec3<f32> {
    return select(1.055 * pow(linear, vec3(1.0 / 2.4)) - 0.055, linear * 12.92, linear <= vec3(0.0031308));
}

fn srgb_decode(encoded: vec3<f32>) -> vec3<f32> {
    return select(pow((encoded + 0.055) / 1.055, vec3(2.4)), encoded / 12.92, encoded <= vec3(0.04045));
}
