//! Canvas sizes to start from.

/// Millimetres of an inch.
const MM_PER_INCH: f64 = 25.4;

/// One size: its longer and shorter side, pixels.
#[derive(Clone, PartialEq, Debug)]
pub(super) struct Size {
    /// What it is called.
    pub label: String,
    /// Longer side, pixels.
    pub long_px: u32,
    /// Shorter side, pixels.
    pub short_px: u32,
}

impl Size {
    /// Width and height.
    pub fn size(&self, portrait: bool) -> (u32, u32) {
        if portrait { (self.short_px, self.long_px) } else { (self.long_px, self.short_px) }
    }
}

/// A sheet of paper at a resolution. Sides: ISO 216.
fn paper(name: &str, (long_mm, short_mm): (f64, f64), dpi: u32) -> Size {
    let px = |mm: f64| (mm / MM_PER_INCH * f64::from(dpi)).round() as u32;
    Size { label: format!("{name}, {dpi} dpi"), long_px: px(long_mm), short_px: px(short_mm) }
}

/// The sizes, with that of the screen if it is known.
pub(super) fn sizes(screen_px: Option<(u32, u32)>) -> Vec<Size> {
    let plain = |long_px, short_px| Size { label: format!("{long_px} × {short_px}"), long_px, short_px };
    let (a4, a5) = ((297.0, 210.0), (210.0, 148.0));
    let mut sizes = vec![plain(1600, 1200), plain(2048, 1536)];
    if let Some((w, h)) = screen_px {
        sizes.push(Size { label: crate::ui::wording::THIS_SCREEN.to_owned(), long_px: w.max(h), short_px: w.min(h) });
    }
    for (name, sides) in [("A5", a5), ("A4", a4)] {
        sizes.extend([150, 300].map(|dpi| paper(name, sides, dpi)));
    }
    sizes
}

#[cfg(test)]
mod tests {
    use super::*;

    #[test]
    fn paper_has_the_pixels_iso_216_and_the_inch_give() {
        // ISO 216: A4 210 x 297 mm, A5 148 x 210 mm; an inch is 25.4 mm exactly. Rounded by hand.
        let found: Vec<_> = sizes(None)[2..].iter().map(|s| s.size(true)).collect();
        assert_eq!(found, [(874, 1240), (1748, 2480), (1240, 1754), (2480, 3508)]);
        assert_eq!(sizes(Some((1080, 1920)))[2].size(false), (1920, 1080));
    }
}
