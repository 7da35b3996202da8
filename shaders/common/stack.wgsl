// Stacks: the tiles of all visible passes at one place, top first. Mirror: LAYER_WORDS in render/src/gpu/layout.rs.
// stacks[place] is the first word of a stack's layers, stacks[place + 1] the end; a layer is LAYER_WORDS words: strength
// (0-65535), number of planes, eight pages.

const LAYER_WORDS: u32 = 10u;
