//! Identities that outlive names and order. Zero is never a real one, so that 0 can mean "none" in packed pixels.

use serde::{Deserialize, Serialize};

macro_rules! id {
    ($(#[$doc:meta])* $name:ident($inner:ty)) => {
        $(#[$doc])*
        #[derive(Clone, Copy, PartialEq, Eq, PartialOrd, Ord, Hash, Debug, Serialize, Deserialize)]
        #[serde(transparent)]
        pub struct $name(pub $inner);

        impl std::fmt::Display for $name {
            fn fmt(&self, f: &mut std::fmt::Formatter<'_>) -> std::fmt::Result {
                self.0.fmt(f)
            }
        }
    };
}

id! {
    /// One swatch of a board; kept when the swatch is moved, recoloured or renamed. 1 or more.
    SwatchId(u32)
}
id! {
    /// One family of a board. 1 or more.
    FamilyId(u32)
}
id! {
    /// One pass of a study. 1 or more.
    PassId(u32)
}
id! {
    /// One entry of a study's paint table, as packed into the upper half of a pixel word. 1 to 65535.
    PaintId(u16)
}
