// The banks as kernels that only read them see them: four neighbouring pixels, a quad, at a time.

const QUADS: u32 = TILE_PIXELS / 4u;

@group(0) @binding(0) var<storage, read> bank0: array<vec4<u32>>;
@group(0) @binding(1) var<storage, read> bank1: array<vec4<u32>>;
@group(0) @binding(2) var<storage, read> bank2: array<vec4<u32>>;
@group(0) @binding(3) var<storage, read> bank3: array<vec4<u32>>;

fn load_quad(page: u32, quad: u32) -> vec4<u32> {
    let at = (page & PLACE_MASK) * QUADS + quad;
    switch page >> BANK_SHIFT {
        case 0u: { return bank0[at]; }
        case 1u: { return bank1[at]; }
        case 2u: { return bank2[at]; }
        default: { return bank3[at]; }
    }
}
