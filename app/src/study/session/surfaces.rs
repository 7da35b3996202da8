//! The surfaces of the reference that were looked at.

use super::SessionError;
use stint_model::photo::{Adjustments, Outline, Photo, Trio, trio};

/// Surfaces that were looked at under one photo and its adjustments. Each takes a while, and each is asked for again: to show it,
/// to lay it, to pick it again.
#[derive(Default)]
pub(super) struct Surfaces {
    under: Option<(i64, Adjustments)>,
    found: Vec<(Vec<(f32, f32)>, Trio)>,
}

impl Surfaces {
    fn known(&self, under: (i64, Adjustments), outline: &[(f32, f32)]) -> Option<Trio> {
        let found = self.found.iter().filter(|_| self.under == Some(under));
        found.into_iter().find(|(of, _)| of == outline).map(|(_, trio)| *trio)
    }

    /// Whether a surface was looked at already.
    pub fn knows(&self, under: (i64, Adjustments), outline: &[(f32, f32)]) -> bool {
        self.known(under, outline).is_some()
    }

    /// Light, local and shadow of a surface.
    ///
    /// # Errors
    /// When the outline is none, or holds too little of the photo.
    pub fn trio(
        &mut self,
        under: (i64, Adjustments),
        photo: &Photo,
        outline: &[(f32, f32)],
    ) -> Result<Trio, SessionError> {
        if let Some(known) = self.known(under, outline) {
            return Ok(known);
        }
        let points = Outline::new(outline.iter().map(|&(x, y)| [x, y]).collect())?;
        let trio = trio(&photo.view(under.1), &points)?;
        if self.under != Some(under) {
            self.found.clear();
            self.under = Some(under);
        }
        self.found.push((outline.to_vec(), trio));
        Ok(trio)
    }
}
