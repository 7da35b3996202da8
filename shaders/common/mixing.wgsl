// Mixing models: from the weighted mean of latent points to colour in linear sRGB, unclamped.
// Mirrors: mixing_code in render/src/gpu/layout.rs, render/src/cpu/latents.rs.

const MIXING_LIGHT: u32 = 0u;
const MIXING_PERCEPTUAL: u32 = 1u;
// Its points are longer, so it has a kernel of its own: resolve_pigment.wgsl.
const MIXING_PIGMENT: u32 = 2u;

// Linear sRGB of OKLab: B. Ottosson, "A perceptual color space for image processing", 2020.
fn linear_of_oklab(lab: vec3<f32>) -> vec3<f32> {
    let root = vec3(
        lab.x + 0.3963377774 * lab.y + 0.2158037573 * lab.z,
        lab.x - 0.1055613458 * lab.y - 0.0638541728 * lab.z,
        lab.x - 0.0894841775 * lab.y - 1.2914855480 * lab.z,
    );
    let lms = root * root * root;
    return vec3(
        4.0767416621 * lms.x - 3.3077115913 * lms.y + 0.2309699292 * lms.z,
        -1.2684380046 * lms.x + 2.6097574011 * lms.y - 0.3413193965 * lms.z,
        -0.0041960863 * lms.x - 0.7034186147 * lms.y + 1.7076147010 * lms.z,
    );
}

fn linear_of_latent(latent: vec3<f32>, mixing: u32) -> vec3<f32> {
    switch mixing {
        case MIXING_LIGHT: { return latent; }
        case MIXING_PERCEPTUAL: { return linear_of_oklab(latent); }
        // A model that the shader does not know shows in a loud colour.
        default: { return vec3(1.0, 0.0, 1.0); }
    }
}
