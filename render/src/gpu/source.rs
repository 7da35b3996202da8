//! Joins the texts of `shaders/`: what a stage shares first, then the stage. The program and the tests use the same texts.

macro_rules! shader {
    ($path:literal) => {
        include_str!(concat!(env!("CARGO_MANIFEST_DIR"), "/../shaders/", $path))
    };
}

const SHARED: [&str; 3] = [shader!("common/amount.wgsl"), shader!("common/tile.wgsl"), shader!("common/params.wgsl")];

/// `shaders/commit.wgsl` with what it shares.
pub fn commit() -> String {
    [&SHARED[..], &[shader!("common/paints.wgsl"), shader!("commit.wgsl")]].concat().concat()
}

/// `shaders/resolve.wgsl` with what it shares.
pub fn resolve() -> String {
    [&SHARED[..], &[shader!("common/banks_read.wgsl"), shader!("common/stack.wgsl"), shader!("resolve.wgsl")]]
        .concat()
        .concat()
}

/// `shaders/tally.wgsl` with what it shares.
pub fn tally() -> String {
    [&SHARED[..], &[shader!("common/banks_read.wgsl"), shader!("common/stack.wgsl"), shader!("tally.wgsl")]]
        .concat()
        .concat()
}
