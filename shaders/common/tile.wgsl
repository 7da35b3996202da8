// Tiles, whose sizes are those of model/src/study/tile.rs, and the banks that their planes lie in; a bank is one storage buffer.
// Mirrors: LANES in render/src/gpu/layout.rs, BANK_SHIFT in render/src/gpu/layout.rs.
// A page is one plane of a tile: 16384 words. A page number holds its bank in the upper 4 bits, its place below.

const TILE_PIXELS: u32 = 16384u;
const MAX_PLANES: u32 = 8u;
const LANES: u32 = 256u;
const BANK_SHIFT: u32 = 28u;
const PLACE_MASK: u32 = 0x0fffffffu;
