// Pigments: from summed latent points to colour in linear sRGB, unclamped. P. Kubelka and F. Munk 1931, as in
// model/src/mixing.rs; the constants are BAND_COLOURS of model/src/mixing/reflectance.rs. Mirror: render/src/cpu/latents.rs.

const RED_SHORT = vec4<f32>(0.0011750175, 0.029955575, 0.040429163, -0.096266076);
const RED_MIDDLE = vec4<f32>(-0.23956064, -0.1482588, 0.27707955, 0.6022851);
const RED_LONG = vec4<f32>(0.4071006, 0.1088644, 0.015391086, 0.0018049965);
const GREEN_SHORT = vec4<f32>(-0.0010113848, -0.027243335, -0.05317045, 0.06488936);
const GREEN_MIDDLE = vec4<f32>(0.2856236, 0.44002, 0.2849542, 0.046439036);
const GREEN_LONG = vec4<f32>(-0.027678068, -0.010971858, -0.0016551924, -0.00019592016);
const BLUE_SHORT = vec4<f32>(0.007111332, 0.20151135, 0.5909986, 0.28553853);
const BLUE_MIDDLE = vec4<f32>(0.023816964, -0.04468752, -0.04066663, -0.01788388);
const BLUE_LONG = vec4<f32>(-0.004784243, -0.0008370913, -0.00010528798, -0.000012120847);

// What four bands reflect whose absorption is this many times their scattering.
fn reflectance(ratio: vec4<f32>) -> vec4<f32> {
    return 1.0 / (1.0 + ratio + sqrt(ratio * (ratio + 2.0)));
}

// Columns of a point: the rest that no reflectance shows with the scattering, then short, middle and long waves.
fn linear_of_pigments(sum: mat4x4<f32>) -> vec3<f32> {
    let whole = 1.0 / sum[0].w;
    let short = reflectance(sum[1] * whole);
    let middle = reflectance(sum[2] * whole);
    let long = reflectance(sum[3] * whole);
    return sum[0].xyz * whole + vec3(
        dot(RED_SHORT, short) + dot(RED_MIDDLE, middle) + dot(RED_LONG, long),
        dot(GREEN_SHORT, short) + dot(GREEN_MIDDLE, middle) + dot(GREEN_LONG, long),
        dot(BLUE_SHORT, short) + dot(BLUE_MIDDLE, middle) + dot(BLUE_LONG, long),
    );
}
