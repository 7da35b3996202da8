//! Every struct and constant shared with WGSL. A test parses the shaders and compares members, offsets and constants.

use stint_model::mixing::Mixing;

/// Lanes of a workgroup, in every shader. Mirror: `LANES` in `shaders/common/tile.wgsl`.
pub const LANES: u32 = 256;
/// Bits of a page number below its bank. Mirror: `BANK_SHIFT` in `shaders/common/tile.wgsl`.
pub const BANK_SHIFT: u32 = 28;
/// Banks bound to every kernel.
pub const BANKS: usize = 4;
/// Paints counted by one dispatch of the tally. Mirror: `TALLY_PAINTS` in `shaders/tally.wgsl`.
pub const TALLY_PAINTS: u32 = 2048;
/// Words of one layer of a stack: strength, number of planes, eight pages. Mirror: `LAYER_WORDS` in
/// `shaders/common/stack.wgsl`.
pub const LAYER_WORDS: u32 = 10;
/// `CommitWords::even` where the mask has pixels. Mirror: `MASK_HAS_PIXELS` in `shaders/common/commits.wgsl`.
pub const MASK_HAS_PIXELS: u32 = u32::MAX;

/// `Params::mixing` for [`Mixing::Light`].
pub const MIXING_LIGHT: u32 = 0;
/// `Params::mixing` for [`Mixing::Perceptual`].
pub const MIXING_PERCEPTUAL: u32 = 1;
/// `Params::mixing` for [`Mixing::Pigment`], which has a kernel of its own.
pub const MIXING_PIGMENT: u32 = 2;

/// The number of a mixing model in `Params::mixing`. Mirror: `MIXING_LIGHT` in `shaders/common/mixing.wgsl`.
pub const fn mixing_code(mixing: Mixing) -> u32 {
    match mixing {
        Mixing::Light => MIXING_LIGHT,
        Mixing::Perceptual => MIXING_PERCEPTUAL,
        Mixing::Pigment => MIXING_PIGMENT,
    }
}

/// One job of a commit. Mirror: `Job` in `shaders/common/commits.wgsl`.
#[derive(Clone, Copy, Debug, Default, PartialEq, Eq, bytemuck::Pod, bytemuck::Zeroable)]
#[repr(C)]
pub struct CommitWords {
    /// Paint to lay, 0 to scrape or to lay a mixture.
    pub paint: u32,
    /// Paints of a mixture; 0 without one.
    pub layers: u32,
    /// 1 when all paint here is of one class.
    pub pure_class: u32,
    /// Planes of the base.
    pub src_planes: u32,
    /// Planes of the new tile.
    pub dst_planes: u32,
    /// Cover of an even mask, or [`MASK_HAS_PIXELS`].
    pub even: u32,
    /// First word of the mask's pixels; an even number.
    pub mask_at: u32,
    /// Pages of the base.
    pub src: [u32; 8],
    /// Pages of the new tile.
    pub dst: [u32; 8],
    /// Paints of the mixture with their shares of 65535, packed as pairs are, first laid first.
    pub mixture: [u32; 8],
}

/// Numbers of one dispatch. Mirror: `Params` in `shaders/common/params.wgsl`.
#[derive(Clone, Copy, Debug, Default, PartialEq, Eq, bytemuck::Pod, bytemuck::Zeroable)]
#[repr(C)]
pub struct Params {
    /// Rounds of each lane: quads of pixels, or texels (reduce).
    pub steps: u32,
    /// Paints of one output row (tally).
    pub paints: u32,
    /// First paint of this dispatch (tally).
    pub first_paint: u32,
    /// Mixing model (resolve).
    pub mixing: u32,
    /// The last entry of the paint table, which stands for all unknown paints.
    pub unknown: u32,
    /// How often the sides of tiles are halved (reduce).
    pub level: u32,
    /// 1 where codes are averaged as the light they stand for, 0 as the numbers they are (reduce).
    pub light: u32,
}

/// Where a tile lies in the texture that is drawn. Mirror: `Place` in `shaders/reduce.wgsl`.
#[derive(Clone, Copy, Debug, Default, PartialEq, Eq, bytemuck::Pod, bytemuck::Zeroable)]
#[repr(C)]
pub struct PlaceWords {
    /// Its first texel: column.
    pub x: u32,
    /// Its first texel: row.
    pub y: u32,
    /// Pixels of it that lie on the canvas: across.
    pub across: u32,
    /// Pixels of it that lie on the canvas: down.
    pub down: u32,
}

#[cfg(test)]
#[allow(clippy::unwrap_used)]
mod tests {
    use super::*;
    use crate::gpu::source::{self, Kernel};
    use crate::paints::PaintInts;
    use naga::{ScalarKind, TypeInner, front::wgsl};
    use std::mem::{offset_of, size_of};
    use stint_model::colour::gamut::{JUST_NOTICEABLE, ROUNDING, SEARCH_EPSILON};
    use stint_model::mixing::reflectance::BAND_COLOURS;

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

    fn literal(module: &naga::Module, name: &str) -> naga::Literal {
        let (_, found) = module.constants.iter().find(|(_, c)| c.name.as_deref() == Some(name)).unwrap();
        match module.global_expressions[found.init] {
            naga::Expression::Literal(literal) => literal,
            ref other => panic!("{name} is {other:?}"),
        }
    }

    /// A constant of four numbers.
    fn four(module: &naga::Module, name: &str) -> [f32; 4] {
        let (_, found) = module.constants.iter().find(|(_, c)| c.name.as_deref() == Some(name)).unwrap();
        let naga::Expression::Compose { components, .. } = &module.global_expressions[found.init] else {
            panic!("{name} is not composed");
        };
        let number = |i: usize| match module.global_expressions[components[i]] {
            naga::Expression::Literal(naga::Literal::F32(v)) => v,
            ref other => panic!("{name} holds {other:?}"),
        };
        std::array::from_fn(number)
    }

    fn constant(module: &naga::Module, name: &str) -> u32 {
        match literal(module, name) {
            naga::Literal::U32(v) => v,
            other => panic!("{name} is {other:?}"),
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

    fn parsed(kernel: Kernel) -> naga::Module {
        let text = kernel.text();
        wgsl::parse_str(&text).unwrap_or_else(|e| panic!("{}: {}", kernel.name(), e.emit_to_string(&text)))
    }

    #[test]
    fn rust_and_wgsl_agree() {
        let commit = parsed(Kernel::Commit);
        same_layout!(
            &commit,
            "Job",
            CommitWords,
            [paint, layers, pure_class, src_planes, dst_planes, even, mask_at, src, dst, mixture]
        );
        same_layout!(&commit, "PaintInts", PaintInts, [l, a, b, free]);
        assert_eq!(constant(&commit, "MASK_HAS_PIXELS"), MASK_HAS_PIXELS);
        for module in Kernel::ALL.map(parsed) {
            same_layout!(&module, "Params", Params, [steps, paints, first_paint, mixing, unknown, level, light]);
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
        let reduce = parsed(Kernel::Reduce);
        same_layout!(&reduce, "Place", PlaceWords, [x, y, across, down]);
        assert_eq!(constant(&reduce, "SIDE"), stint_model::study::tile::TILE_SIDE);
        for kernel in [Kernel::Resolve, Kernel::ResolvePigment, Kernel::Coverage, Kernel::Tally] {
            assert_eq!(constant(&parsed(kernel), "LAYER_WORDS"), LAYER_WORDS);
        }
        assert_eq!(constant(&parsed(Kernel::Tally), "TALLY_PAINTS"), TALLY_PAINTS);
        let resolve = parsed(Kernel::Resolve);
        for mixing in Mixing::ALL {
            let name = format!("MIXING_{}", mixing.word().to_uppercase());
            assert_eq!(constant(&resolve, &name), mixing_code(mixing), "{name}");
        }
        for (name, ours) in [
            ("JUST_NOTICEABLE", JUST_NOTICEABLE as f32),
            ("SEARCH_EPSILON", SEARCH_EPSILON as f32),
            ("ROUNDING", ROUNDING),
            ("LARGEST_CHROMA", crate::cpu::gamut::LARGEST_CHROMA),
        ] {
            assert_eq!(literal(&resolve, name), naga::Literal::F32(ours), "{name}");
        }
        assert_eq!(constant(&resolve, "CHROMA_ROUNDS"), crate::cpu::gamut::CHROMA_ROUNDS);
        let pigment = parsed(Kernel::ResolvePigment);
        for (row, component) in BAND_COLOURS.iter().zip(["RED", "GREEN", "BLUE"]) {
            for (bands, part) in row.chunks_exact(4).zip(["SHORT", "MIDDLE", "LONG"]) {
                assert_eq!(four(&pigment, &format!("{component}_{part}")), bands, "{component} {part}");
            }
        }
    }

    /// Shared constants are held together by name above: one that only a shader has must not slip through.
    #[test]
    fn every_constant_of_a_shader_is_compared_or_its_own() {
        let shared = [
            "FULL",
            "TILE_PIXELS",
            "MAX_PLANES",
            "LANES",
            "BANK_SHIFT",
            "PLACE_MASK",
            "LAYER_WORDS",
            "TALLY_PAINTS",
            "MASK_HAS_PIXELS",
            "SIDE",
            "MIXING_LIGHT",
            "MIXING_PERCEPTUAL",
            "MIXING_PIGMENT",
            "JUST_NOTICEABLE",
            "SEARCH_EPSILON",
            "ROUNDING",
            "LARGEST_CHROMA",
            "CHROMA_ROUNDS",
            "RED_SHORT",
            "RED_MIDDLE",
            "RED_LONG",
            "GREEN_SHORT",
            "GREEN_MIDDLE",
            "GREEN_LONG",
            "BLUE_SHORT",
            "BLUE_MIDDLE",
            "BLUE_LONG",
        ];
        // Made of others within the shaders.
        let own = ["QUADS"];
        for kernel in Kernel::ALL {
            for name in parsed(kernel).constants.iter().filter_map(|(_, c)| c.name.clone()) {
                assert!(shared.contains(&&name[..]) || own.contains(&&name[..]), "{} {name}", kernel.name());
            }
        }
    }

    /// The comparison itself must be able to fail.
    #[test]
    fn a_moved_member_is_seen() {
        let module = wgsl::parse_str("struct Params { paints: u32, steps: u32, } var<private> p: Params;").unwrap();
        assert_ne!(members(&module, "Params").0[0].0, "steps");
        assert_eq!(module.types.iter().filter(|(_, t)| t.inner.scalar_kind() == Some(ScalarKind::Uint)).count(), 1);
    }

    #[test]
    fn every_shader_is_valid_and_has_the_entry_point_of_its_name() {
        let kernels = Kernel::ALL.map(|kernel| (kernel.name(), kernel.text()));
        for (name, text) in kernels.into_iter().chain([("show", source::show()), ("display", source::display())]) {
            let module = wgsl::parse_str(&text).unwrap_or_else(|e| panic!("{name}: {}", e.emit_to_string(&text)));
            let mut validator =
                naga::valid::Validator::new(naga::valid::ValidationFlags::all(), naga::valid::Capabilities::empty());
            validator.validate(&module).unwrap_or_else(|e| panic!("{name}: {}", e.emit_to_string(&text)));
            let compute: Vec<_> =
                module.entry_points.iter().filter(|e| e.stage == naga::ShaderStage::Compute).collect();
            assert!(matches!(name, "show" | "display") || compute.len() == 1 && compute[0].name == name, "{name}");
        }
    }
}
