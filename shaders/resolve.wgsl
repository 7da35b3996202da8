// Resolve: from visible amounts to colour. Reads stacks of planes and the latent points of the paints, writes packed 8-bit
// sRGB RGBA, red lowest, tile after tile. One workgroup row a stack, 256 lanes. Twin: render/src/cpu/resolve.rs.

@group(0) @binding(0) var<storage, read> bank0: array<u32>;
@group(0) @binding(1) var<storage, read> bank1: array<u32>;
@group(0) @binding(2) var<storage, read> bank2: array<u32>;
@group(0) @binding(3) var<storage, read> bank3: array<u32>;
@group(0) @binding(4) var<storage, read> stacks: array<u32>;
@group(0) @binding(5) var<storage, read> latents: array<vec4<f32>>;
@group(0) @binding(6) var<storage, read_write> colours: array<u32>;
@group(0) @binding(7) var<uniform> params: Params;

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

// IEC 61966-2-1.
fn encode(linear: vec3<f32>) -> vec3<f32> {
    let v = clamp(linear, vec3(0.0), vec3(1.0));
    let low = v * 12.92;
    let high = 1.055 * pow(max(v, vec3(1e-8)), vec3(1.0 / 2.4)) - 0.055;
    return select(high, low, v <= vec3(0.0031308));
}

@compute @workgroup_size(256)
fn resolve(@builtin(workgroup_id) group: vec3<u32>, @builtin(local_invocation_index) lane: u32) {
    let first = stacks[group.x];
    let end = stacks[group.x + 1u];
    let ground = latents[0].xyz;
    for (var step = 0u; step < params.steps; step++) {
        let pixel = (group.y * params.steps + step) * LANES + lane;
        var sum = vec3(0.0);
        var left = FULL;
        for (var layer = first; layer < end; layer += LAYER_WORDS) {
            let strength = stacks[layer];
            let planes = stacks[layer + 1u];
            var cover = 0u;
            var shown = 0u;
            for (var k = 0u; k < planes; k++) {
                let pair = load_word(stacks[layer + 2u + k], pixel);
                if pair == 0u {
                    break;
                }
                cover += pair & 0xffffu;
                let now = scale(scale(cover, strength), left);
                sum += latents[pair >> 16u].xyz * f32(now - shown);
                shown = now;
            }
            left -= shown;
            if left == 0u {
                break;
            }
        }
        sum = (sum + ground * f32(left)) * (1.0 / 65535.0);
        if params.mixing == 1u {
            sum = linear_of_oklab(sum);
        }
        colours[group.x * TILE_PIXELS + pixel] = pack4x8unorm(vec4(encode(sum), 1.0));
    }
}
