//! The fonts the program brings, as font files: for the interface and for cards.

/// Figtree (SIL Open Font License), weights 400, 500 and 600.
pub const FIGTREE: [&[u8]; 3] = [
    include_bytes!(concat!(env!("CARGO_MANIFEST_DIR"), "/../assets/fonts/figtree-latin-400.ttf")),
    include_bytes!(concat!(env!("CARGO_MANIFEST_DIR"), "/../assets/fonts/figtree-latin-500.ttf")),
    include_bytes!(concat!(env!("CARGO_MANIFEST_DIR"), "/../assets/fonts/figtree-latin-600.ttf")),
];

/// Proportional fonts for what Figtree lacks, the first choice first.
pub const FALLBACKS: [&[u8]; 2] = [epaint_default_fonts::UBUNTU_LIGHT, epaint_default_fonts::EGUI_ICONS];
