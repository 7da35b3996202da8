//! Every struct and constant shared with WGSL. A test parses the shaders and compares members, offsets and constants.

/// Lanes of a workgroup, in every shader.
pub const LANES: u32 = 256;
/// Bits of a page number below its bank.
pub const BANK_SHIFT: u32 = 28;
/// Banks bound to every kernel.
pub const BANKS: usize = 4;
/// Paints counted by one dispatch of the tally.
pub const TALLY_PAINTS: u32 = 2048;
/// Words of one layer of a stack: strength, number of planes, eight pages.
pub const LAYER_WORDS: u32 = 10;
/// `CommitWords::even` where the mask has pixels.
pub const MASK_HAS_PIXELS: u32 = u32::MAX;

/// One job of a commit: `Job` in `shaders/commit.wgsl`.
#[derive(Clone, Copy, Debug, Default, PartialEq, Eq, bytemuck::Pod, bytemuck::Zeroable)]
#[repr(C)]
pub struct CommitWords {
    /// Paint to lay, 0 to scrape.
    pub paint: u32,
    /// 1 when all paint here is of one class.
    pub pure_class: u32,
    /// Planes of the base.
    pub src_planes: u32,
    /// Planes of the new tile.
    pub dst_planes: u32,
    /// Cover of an even mask, or [`MASK_HAS_PIXELS`].
    pub even: u32,
    /// First word of the mask's pixels.
    pub mask_at: u32,
    /// Pages of the base.
    pub src: [u32; 8],
    /// Pages of the new tile.
    pub dst: [u32; 8],
}

/// Numbers of one dispatch: `Params` in `shaders/common/params.wgsl`.
#[derive(Clone, Copy, Debug, Default, PartialEq, Eq, bytemuck::Pod, bytemuck::Zeroable)]
#[repr(C)]
pub struct Params {
    /// Rounds of each lane: single pixels in commit, quads of pixels in resolve and tally.
    pub steps: u32,
    /// Entries of the paint table, or of one output row of the tally.
    pub paints: u32,
    /// First paint of this dispatch (tally).
    pub first_paint: u32,
    /// Mixing model (resolve).
    pub mixing: u32,
}

#[cfg(test)]
#[allow(clippy::unwrap_used)]
mod tests {
    use super::*;
    use crate::gpu::source;
    use crate::paints::PaintInts;
    use naga::{ScalarKind, TypeInner, front::wgsl};
    use std::mem::{offset_of, size_of};

    /// Name, offset and size of each member of a WGSL struct.
    fn members(module: &naga::Module, name: &str) -> (Vec<(String, u32)>, u32) {
        let found = module.types.iter().find(|(_, t)| t.name.as_deref() == Some(name));
        match &found.unwrap_or_else(|| panic!("no struct {name}")).1.inner {
            TypeInner::Struct { members, span } => {
                (members.iter().map(|m| (m.name.clone().unwrap(), m.offset)).collect(), *span)
            }
            other => panic!("{name} is {other:?}"),
        }
    }

    fn constant(module: &naga::Module, name: &str) -> u32 {
        let (_, found) = module.constants.iter().find(|(_, c)| c.name.as_deref() == Some(name)).unwrap();
        match module.global_expressions[found.init] {
            naga::Expression::Literal(naga::Literal::U32(v)) => v,
            ref other => panic!("{name} is {other:?}"),
        }
    }

    macro_rules! same_layout {
        ($module:expr, $name:literal, $rust:ty, [$($member:ident),*]) => {
            let (members, span) = members($module, $name);
            let rust = vec![$((stringify!($member).to_owned(), offset_of!($rust, $member) as u32)),*];
            assert_eq!(members, rust, "{}", $name);
            assert_eq!(span as usize, size_of::<$rust>(), "{}", $name);
        };
    }

    #[test]
    fn rust_and_wgsl_agree() {
        let commit = wgsl::parse_str(&source::commit()).unwrap();
        same_layout!(&commit, "Job", CommitWords, [paint, pure_class, src_planes, dst_planes, even, mask_at, src, dst]);
        same_layout!(&commit, "PaintInts", PaintInts, [l, a, b, free]);
        for text in [source::commit(), source::resolve(), source::tally()] {
            let module = wgsl::parse_str(&text).unwrap();
            same_layout!(&module, "Params", Params, [steps, paints, first_paint, mixing]);
            assert_eq!(constant(&module, "LANES"), LANES);
            assert_eq!(constant(&module, "FULL"), crate::amount::FULL);
            assert_eq!(constant(&module, "BANK_SHIFT"), BANK_SHIFT);
            assert_eq!(constant(&module, "PLACE_MASK"), (1 << BANK_SHIFT) - 1);
            assert_eq!(constant(&module, "TILE_PIXELS") as usize, stint_model::study::tile::TILE_PIXELS);
            assert_eq!(constant(&module, "MAX_PLANES") as usize, stint_model::study::tile::MAX_PLANES);
            for entry in &module.entry_points {
                assert_eq!(entry.workgroup_size, [LANES, 1, 1], "{}", entry.name);
            }
        }
        for text in [source::resolve(), source::tally()] {
            assert_eq!(constant(&wgsl::parse_str(&text).unwrap(), "LAYER_WORDS"), LAYER_WORDS);
        }
        assert_eq!(constant(&wgsl::parse_str(&source::tally()).unwrap(), "TALLY_PAINTS"), TALLY_PAINTS);
    }

    /// The comparison itself must be able to fail.
    #[test]
    fn a_moved_member_is_seen() {
        let module = wgsl::parse_str("struct Params { paints: u32, steps: u32, } var<private> p: Params;").unwrap();
        assert_ne!(members(&module, "Params").0[0].0, "steps");
        assert_eq!(module.types.iter().filter(|(_, t)| t.inner.scalar_kind() == Some(ScalarKind::Uint)).count(), 1);
    }

    #[test]
    fn every_shader_is_valid() {
        for (name, text) in [("commit", source::commit()), ("resolve", source::resolve()), ("tally", source::tally())] {
            let module = wgsl::parse_str(&text).unwrap_or_else(|e| panic!("{name}: {}", e.emit_to_string(&text)));
            let mut validator =
                naga::valid::Validator::new(naga::valid::ValidationFlags::all(), naga::valid::Capabilities::empty());
            validator.validate(&module).unwrap_or_else(|e| panic!("{name}: {}", e.emit_to_string(&text)));
        }
    }
}
