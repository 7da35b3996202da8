//! The table of kernels, and the texts of `shaders/` joined: what a shader shares first, then the shader. The program and the
//! tests use the same texts.
//!
//! A kernel is a file in `shaders/` and a line in [`kernels!`]; the tests of [`super::layout`] take them all from there.

macro_rules! shader {
    ($($path:literal),+) => {
        include_str!(concat!(env!("CARGO_MANIFEST_DIR"), "/../shaders/", $($path),+))
    };
}

const AMOUNT: &str = shader!("common/amount.wgsl");
const TILE: &str = shader!("common/tile.wgsl");
const PARAMS: &str = shader!("common/params.wgsl");
const PAINTS: &str = shader!("common/paints.wgsl");
const BANKS_READ: &str = shader!("common/banks_read.wgsl");
const STACK: &str = shader!("common/stack.wgsl");
const SRGB: &str = shader!("common/srgb.wgsl");
const MIXING: &str = shader!("common/mixing.wgsl");
const PIGMENT: &str = shader!("common/pigment.wgsl");
const GAMUT: &str = shader!("common/gamut.wgsl");

/// What a kernel does with the planes that lie in the banks.
#[derive(Clone, Copy, PartialEq, Eq, Debug)]
pub enum Planes {
    /// It knows none: it goes from a buffer to a texture that is drawn.
    Unbound,
    /// It reads planes only; what it gives goes to a buffer of its own.
    Read,
    /// It reads some and writes others.
    Written,
}

/// Whether a kernel reads the table of paints.
#[derive(Clone, Copy, PartialEq, Eq, Debug)]
pub enum Paints {
    /// It knows paints by their ids alone.
    Unread,
    /// It reads a record for each paint.
    Read,
}

macro_rules! kernels {
    ($($(#[$doc:meta])* $kernel:ident: $name:literal, [$($part:expr),*], $planes:expr, $paints:expr;)+) => {
        /// A compute kernel.
        #[derive(Clone, Copy, PartialEq, Eq, Debug)]
        pub enum Kernel {
            $($(#[$doc])* $kernel,)+
        }

        impl Kernel {
            /// All of them.
            pub const ALL: [Kernel; [$($name),+].len()] = [$(Kernel::$kernel),+];

            /// What its file, its entry point and its label are called.
            pub const fn name(self) -> &'static str {
                match self { $(Kernel::$kernel => $name,)+ }
            }

            /// What it does with planes.
            pub const fn planes(self) -> Planes {
                match self { $(Kernel::$kernel => $planes,)+ }
            }

            /// What it does with the table of paints.
            pub const fn paints(self) -> Paints {
                match self { $(Kernel::$kernel => $paints,)+ }
            }

            /// Its whole text in WGSL.
            pub fn text(self) -> String {
                let parts: &[&str] = match self {
                    $(Kernel::$kernel => &[AMOUNT, TILE, PARAMS, $($part,)* shader!($name, ".wgsl")],)+
                };
                parts.concat()
            }
        }
    };
}

kernels! {
    /// Lays or scrapes through masks.
    Commit: "commit", [PAINTS], Planes::Written, Paints::Read;
    /// From visible amounts to colour.
    Resolve: "resolve", [PAINTS, BANKS_READ, STACK, SRGB, MIXING, GAMUT], Planes::Read, Paints::Read;
    /// From visible amounts to colour, in the pigment model.
    ResolvePigment: "resolve_pigment", [PAINTS, BANKS_READ, STACK, SRGB, MIXING, GAMUT, PIGMENT], Planes::Read, Paints::Read;
    /// From visible amounts to the share of some paints.
    Coverage: "coverage", [PAINTS, BANKS_READ, STACK], Planes::Read, Paints::Read;
    /// From colours or shares to the texture that is drawn.
    Reduce: "reduce", [SRGB], Planes::Unbound, Paints::Unread;
    /// Sums visible amounts by paint.
    Tally: "tally", [PAINTS, BANKS_READ, STACK], Planes::Read, Paints::Unread;
}

/// `shaders/show.wgsl` with what it shares: vertex and fragment shaders that draw the canvas in a window.
pub fn show() -> String {
    [SRGB, shader!("show.wgsl")].concat()
}
