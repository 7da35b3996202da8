//! How the surfaces of a board go from shadow to light: along warm and cool, and in value.

use super::limits::LEAN_MARGIN;
use super::{Board, Family, LightOfDay, Role, Swatch};
use crate::colour::warmth::warmth;

/// One family from shadow to light.
#[derive(Clone, Copy, PartialEq, Debug)]
pub struct Lean<'a> {
    /// The family.
    pub family: &'a Family,
    /// Mean warmth of its shadows and of its lights, OKLab units along the warmth axis.
    pub warmth: [f32; 2],
    /// Mean Munsell value of both.
    pub value_munsell: [f32; 2],
}

impl Lean<'_> {
    /// How much warmer its lights are than its shadows, OKLab units.
    pub fn warmer(&self) -> f32 {
        self.warmth[1] - self.warmth[0]
    }

    /// How much lighter its lights are, Munsell values.
    pub fn rise_munsell(&self) -> f32 {
        self.value_munsell[1] - self.value_munsell[0]
    }

    /// Whether it leans the other way than surfaces do under a light of the day, by more than is overlooked ([`LEAN_MARGIN`]).
    pub fn is_against(&self, light: LightOfDay) -> bool {
        match light {
            LightOfDay::Warm => self.warmer() < -LEAN_MARGIN,
            LightOfDay::Cool => self.warmer() > LEAN_MARGIN,
            LightOfDay::Neutral => false,
        }
    }
}

/// How a family leans; none without both shadow and light.
pub fn lean(family: &Family) -> Option<Lean<'_>> {
    let both = |figure: fn(&Swatch) -> f32| -> Option<[f32; 2]> {
        let of = |role| mean(family.swatches.iter().filter(move |s| s.role == role), figure);
        Some([of(Role::Shadow)?, of(Role::Light)?])
    };
    Some(Lean { family, warmth: both(|s| warmth(s.colour))?, value_munsell: both(|s| s.colour.munsell_value())? })
}

/// All families that lean at all, in the order of the board.
pub fn leans(board: &Board) -> Vec<Lean<'_>> {
    board.families.iter().filter_map(lean).collect()
}

fn mean<'a>(swatches: impl Iterator<Item = &'a Swatch>, figure: fn(&Swatch) -> f32) -> Option<f32> {
    let figures: Vec<f32> = swatches.map(figure).collect();
    (!figures.is_empty()).then(|| figures.iter().sum::<f32>() / figures.len() as f32)
}

#[cfg(test)]
#[allow(clippy::unwrap_used)]
mod tests {
    use super::*;
    use crate::colour::Colour;

    fn board(light: LightOfDay, shadow: &str, lit: &str) -> Board {
        let (board, family) = Board::new("Depot", light).with_family("yard").unwrap();
        let with = |board: Board, role, hex: &str| {
            board.with_swatch(family, role, "", Colour::from_hex(hex).unwrap(), &[]).unwrap().0
        };
        with(with(board, Role::Light, lit), Role::Shadow, shadow)
    }

    #[test]
    fn a_bluer_light_leans_with_a_cool_day_and_against_a_warm_one() {
        let (brown, blue) = ("#4a4038", "#8f9db3");
        let of = |light, shadow, lit| leans(&board(light, shadow, lit))[0].is_against(light);
        assert!(!of(LightOfDay::Cool, brown, blue) && of(LightOfDay::Warm, brown, blue));
        assert!(of(LightOfDay::Cool, blue, brown) && !of(LightOfDay::Warm, blue, brown));
        assert!(!of(LightOfDay::Neutral, brown, blue) && !of(LightOfDay::Neutral, blue, brown));
        // Greys lean nowhere.
        assert!(!of(LightOfDay::Cool, "#404040", "#a0a0a0") && !of(LightOfDay::Warm, "#404040", "#a0a0a0"));
        let depot = board(LightOfDay::Cool, brown, blue);
        let found = leans(&depot)[0];
        assert!(found.warmer() < 0.0 && found.rise_munsell() > 2.0, "{found:?}");
    }

    #[test]
    fn a_family_without_shadow_or_light_has_no_lean() {
        let (board, family) = Board::new("Depot", LightOfDay::Cool).with_family("yard").unwrap();
        let board = board.with_swatch(family, Role::Local, "", Colour::new(0.1, 0.1, 0.1), &[]).unwrap().0;
        assert!(leans(&board).is_empty());
    }
}
