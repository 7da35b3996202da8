//! The suggested palette chunk, `sPLT` (11.3.4.4), both ways.

use super::attached::PaletteEntry;
use super::encode::code;
use super::gamut::{OutputGamut, into_output_gamut};
use super::{BOARD_KEYWORD, Depth};

/// One colour of a suggested palette.
#[derive(Clone, Copy, PartialEq, Eq, Debug)]
pub struct SuggestedEntry {
    /// Red, green, blue and alpha in the colour space of the picture, not premultiplied, 0 to [`Depth::max`].
    pub rgba: [u16; 4],
    /// Relative weight: proportional to the share of the picture where this entry is the nearest; 0 is least important.
    pub frequency: u16,
}

/// One suggested palette of a PNG.
#[derive(Clone, PartialEq, Eq, Debug)]
pub struct SuggestedPalette {
    /// Its name, 1 to 79 Latin-1 characters.
    pub name: String,
    /// Bits of each component of its entries; need not be that of the pixels.
    pub depth: Depth,
    /// Its entries, by falling frequency.
    pub entries: Vec<SuggestedEntry>,
}

impl SuggestedPalette {
    /// The palette of a picture at `depth` in `gamut`, by falling share; shares in proportion, so that the largest gets
    /// frequency 65535 as the standard advises, and a colour that is there at all gets at least 1. Shares must be
    /// finite.
    #[expect(clippy::cast_possible_truncation, reason = "a share of the largest is at most 65535; the cast saturates")]
    pub(super) fn of(palette: &[PaletteEntry], depth: Depth, gamut: OutputGamut) -> Self {
        let mut by_share: Vec<&PaletteEntry> = palette.iter().collect();
        by_share.sort_by(|a, b| b.share.total_cmp(&a.share));
        let largest = by_share.first().map_or(0.0, |e| e.share);
        let entries = by_share.into_iter().map(|entry| {
            let [r, g, b] = into_output_gamut(entry.colour, gamut).map(|v| code(v, depth));
            let frequency = if entry.share > 0.0 {
                ((entry.share / largest * f64::from(u16::MAX)).round() as u16).max(1)
            } else {
                0
            };
            SuggestedEntry { rgba: [r, g, b, depth.max()], frequency }
        });
        SuggestedPalette { name: BOARD_KEYWORD.to_owned(), depth, entries: entries.collect() }
    }

    /// The data of the chunk. The name must be a keyword of the standard (11.3.3.2).
    #[expect(clippy::cast_possible_truncation, reason = "samples of 8 bits are below 256")]
    pub(super) fn to_chunk(&self) -> Vec<u8> {
        // Latin-1 is the first 256 characters of Unicode.
        let mut data: Vec<u8> = self.name.chars().map(|c| c as u8).collect();
        data.extend([0, self.depth.bits()]);
        for entry in &self.entries {
            match self.depth {
                Depth::Eight => data.extend(entry.rgba.map(|v| v as u8)),
                Depth::Sixteen => data.extend(entry.rgba.map(u16::to_be_bytes).as_flattened()),
            }
            data.extend(entry.frequency.to_be_bytes());
        }
        data
    }

    /// From the data of a chunk; `None` if it is not as the standard says. An order of entries other than by falling
    /// frequency is let pass: the entries still say what they say.
    pub(super) fn from_chunk(data: &[u8]) -> Option<Self> {
        let end = data.iter().take(80).position(|b| *b == 0).filter(|end| *end > 0)?;
        let name = data[..end].iter().map(|b| char::from(*b)).collect();
        let (&bits, entries) = data[end + 1..].split_first()?;
        let sample = |s: &[u8]| s.iter().fold(0, |sum, byte| sum << 8 | u16::from(*byte));
        let (depth, entry_bytes) = match bits {
            8 => (Depth::Eight, 6),
            16 => (Depth::Sixteen, 10),
            _ => return None,
        };
        if entries.len() % entry_bytes != 0 {
            return None;
        }
        let entries = entries.chunks_exact(entry_bytes).map(|entry| {
            let (samples, frequency) = entry.split_at(entry_bytes - 2);
            let samples = samples.chunks_exact(usize::from(bits / 8)).map(sample);
            let mut rgba = [0; 4];
            rgba.iter_mut().zip(samples).for_each(|(to, from)| *to = from);
            SuggestedEntry { rgba, frequency: sample(frequency) }
        });
        Some(SuggestedPalette { name, depth, entries: entries.collect() })
    }
}

#[cfg(test)]
#[allow(clippy::unwrap_used)]
mod tests {
    use super::super::attached::tests::depot;
    use super::*;
    use crate::colour::Colour;

    #[test]
    fn frequencies_fall_and_keep_proportion() {
        let mut palette = depot().palette;
        let entry = |name: &str, share| PaletteEntry { name: name.into(), colour: Colour::default(), share };
        palette.extend([entry("speck", 1e-7), entry("unused", 0.0)]);
        for depth in [Depth::Eight, Depth::Sixteen] {
            let suggested = SuggestedPalette::of(&palette, depth, OutputGamut::Srgb);
            let frequencies: Vec<u16> = suggested.entries.iter().map(|e| e.frequency).collect();
            assert_eq!(frequencies, [65535, 32768, 16384, 16384, 1, 0]); // 0.5, 0.25, 0.125, 0.125, a speck, none
            assert_eq!(suggested.entries[2].rgba[..3], [0.9, 0.55, 0.1].map(|v| code(v, depth)));
            assert_eq!(SuggestedPalette::from_chunk(&suggested.to_chunk()).unwrap(), suggested);
        }
        let unused = SuggestedPalette::of(&palette[5..], Depth::Eight, OutputGamut::Srgb);
        assert_eq!(unused.entries[0].frequency, 0);
        assert_eq!(SuggestedPalette::of(&[], Depth::Eight, OutputGamut::Srgb).entries, []);
    }

    #[test]
    fn what_is_not_a_palette_is_refused() {
        let good = b"a\0\x08\x01\x02\x03\x04\x05\x06";
        let entries = SuggestedPalette::from_chunk(good).unwrap().entries;
        assert_eq!(entries, [SuggestedEntry { rgba: [1, 2, 3, 4], frequency: 0x0506 }]);
        let long = [&[b'n'; 80][..], &good[1..]].concat();
        for bad in [&b""[..], b"a", b"a\0", b"\0\x08", b"a\0\x04", &good[..8], &good[1..], &long] {
            assert_eq!(SuggestedPalette::from_chunk(bad), None, "{bad:?}");
        }
        SuggestedPalette::from_chunk(&long[1..]).unwrap();
    }
}
