//! Marker segments of a JPEG.

use std::ops::Range;

/// Marker of the begin of a scan.
pub(in crate::photo) const START_OF_SCAN: u8 = 0xDA;
/// Marker of the end of the picture.
pub(in crate::photo) const END_OF_IMAGE: u8 = 0xD9;
/// Marker of the number of lines, given after the first scan.
const NUMBER_OF_LINES: u8 = 0xDC;

/// One marker with what belongs to it.
#[derive(Clone, PartialEq, Debug)]
pub(in crate::photo) struct Segment {
    /// The byte after FF.
    pub marker: u8,
    /// From FF up to the next marker: a scan has its entropy-coded data in it.
    pub whole: Range<usize>,
    /// What follows the length, without entropy-coded data; empty for markers without a length.
    pub data: Range<usize>,
}

/// The segments after the start of the image up to and with its end, so that what phones append (a second picture, a gain
/// map, a short film) is not looked at, and the end of a thumbnail inside a segment does not count. Ends early where the file
/// does: then the last segment is not [`END_OF_IMAGE`].
pub(in crate::photo) fn segments(jpeg: &[u8]) -> impl Iterator<Item = Segment> + '_ {
    let mut at = 2;
    let mut ended = false;
    std::iter::from_fn(move || {
        if ended {
            return None;
        }
        // Stray bytes before a marker are skipped, as readers in use do; whoever decodes judges them.
        let start = at + jpeg.get(at..)?.iter().position(|&b| b == 0xFF)?;
        let code = start + jpeg.get(start..)?.iter().position(|&b| b != 0xFF)?;
        let marker = jpeg[code];
        at = code + 1;
        let mut data = at..at;
        if !matches!(marker, 0x00 | 0x01 | 0xD0..=0xD9) {
            let length = usize::from(u16::from_be_bytes([*jpeg.get(at)?, *jpeg.get(at + 1)?]));
            data = at + 2..(at + length).max(at + 2);
            at = data.end;
            if at > jpeg.len() {
                return None;
            }
        }
        if marker == START_OF_SCAN {
            at = end_of_scan(jpeg, at);
        }
        ended = marker == END_OF_IMAGE;
        Some(Segment { marker, whole: start..at, data })
    })
}

/// Where the entropy-coded data that begin at a place stop: at a marker that is neither a stuffed zero nor a restart.
fn end_of_scan(jpeg: &[u8], mut at: usize) -> usize {
    while let Some(found) = jpeg.get(at..).and_then(|rest| rest.iter().position(|&b| b == 0xFF)) {
        let code = at + found + 1;
        match jpeg.get(code) {
            Some(0x00 | 0x01 | 0xD0..=0xD7) => at = code + 1,
            Some(0xFF) => at = code,
            Some(_) => return at + found,
            None => break,
        }
    }
    jpeg.len()
}

/// What the frame header says.
#[derive(Clone, PartialEq, Debug)]
pub(in crate::photo) struct Frame {
    /// The byte of its marker: C0 baseline, C1 extended, C2 progressive, C3 lossless, C9 and CA with arithmetic coding …
    pub marker: u8,
    /// Bits a sample.
    pub precision: u8,
    /// Width.
    pub width_px: u32,
    /// Height; 0 when it is told after the first scan.
    pub height_px: u32,
    /// Identifier, horizontal and vertical sampling, quantisation table of each component.
    pub components: Vec<[u8; 4]>,
}

/// The frame header, from the first segment that is one.
pub(in crate::photo) fn frame(jpeg: &[u8], segments: &[Segment]) -> Option<Frame> {
    let sof = segments.iter().find(|s| matches!(s.marker, 0xC0..=0xCF) && !matches!(s.marker, 0xC4 | 0xC8 | 0xCC))?;
    let [precision, h0, h1, w0, w1, count, components @ ..] = jpeg.get(sof.data.clone())? else { return None };
    let mut height_px = u32::from(u16::from_be_bytes([*h0, *h1]));
    if height_px == 0
        && let Some(lines) = segments.iter().find(|s| s.marker == NUMBER_OF_LINES)
        && let Some([l0, l1]) = jpeg.get(lines.data.clone())
    {
        height_px = u32::from(u16::from_be_bytes([*l0, *l1]));
    }
    let components: Vec<[u8; 4]> =
        components.chunks_exact(3).take(usize::from(*count)).map(|c| [c[0], c[1] >> 4, c[1] & 15, c[2]]).collect();
    (components.len() == usize::from(*count)).then_some(Frame {
        marker: sof.marker,
        precision: *precision,
        width_px: u32::from(u16::from_be_bytes([*w0, *w1])),
        height_px,
        components,
    })
}

#[cfg(test)]
mod tests {
    use super::*;

    #[test]
    fn the_end_is_looked_for_after_the_scan_only() {
        let reaches_its_end = |file: &[u8]| segments(file).last().is_some_and(|s| s.marker == END_OF_IMAGE);
        let header_with_thumbnail = [0xFF, 0xD8, 0xFF, 0xE1, 0, 6, 0xFF, 0xD9, 0, 0];
        let scan = [0xFF, 0xDA, 0, 2, 1, 2, 0xFF, 0, 3, 0xFF, 0xD0, 4];
        let mut file = [header_with_thumbnail.as_slice(), &scan].concat();
        assert!(!reaches_its_end(&file));
        file.extend([0xFF, 0xFF, 0xD9, 9, 9]);
        assert!(reaches_its_end(&file));
        for cut in 0..file.len() - 2 {
            assert!(!reaches_its_end(&file[..cut]), "cut at {cut}");
        }
        let all: Vec<_> = segments(&file).collect();
        assert_eq!(all.iter().map(|s| s.marker).collect::<Vec<_>>(), [0xE1, START_OF_SCAN, END_OF_IMAGE]);
        assert_eq!(all[0].data, 6..10);
        // A fill byte before a marker counts as what is before it.
        assert_eq!(all[1].whole, 10..23);
        assert_eq!(all[2].whole, 23..25);
    }
}
