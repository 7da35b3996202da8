//! Edits of a board: each returns the new board or the reason why not. The board given is never touched.
//!
//! New swatches and families get ids above all that the board, and whoever calls, have used, so that an id never comes to
//! mean another swatch.

use super::review::Subject;
use super::{Board, Distance, Family, LightOfDay, Role, Swatch};
use crate::colour::Colour;
use crate::ids::{FamilyId, SwatchId};
use crate::printable::{listed, shortened};

/// Why an edit was not made.
#[derive(Clone, PartialEq, Debug, thiserror::Error)]
pub enum EditError {
    /// No such family.
    #[error("this board has no family {0}; it has: {1}")]
    NoFamily(String, String),
    /// No such swatch.
    #[error("this board has no swatch {0}; look at the board for what it has")]
    NoSwatch(String),
    /// A second family of one name.
    #[error("this board has a family \"{0}\" already; choose another name")]
    SameName(String),
    /// A name without letters.
    #[error("{0} needs a name that is not empty")]
    EmptyName(&'static str),
    /// A colour that is not a number.
    #[error("a swatch needs a colour of three finite numbers")]
    NotAColour,
    /// Every id up to the largest is taken.
    #[error("no number is left for {0}: this board has used the largest there is; start a new board with its colours")]
    NoNumber(&'static str),
    /// A place beyond the end.
    #[error("there is no place {place}; the places run from 0 to {last}")]
    NoPlace {
        /// The place that was asked for.
        place: usize,
        /// Last one there is.
        last: usize,
    },
}

/// The number after the largest of those used; never one that was used.
///
/// # Errors
/// When the largest number there is, is used.
pub fn next_number(used: impl Iterator<Item = u32>, what: &'static str) -> Result<u32, EditError> {
    used.max().map_or(Some(1), |largest| largest.checked_add(1)).ok_or(EditError::NoNumber(what))
}

fn name_of(what: &'static str, name: &str) -> Result<String, EditError> {
    let name = name.trim();
    if name.is_empty() { Err(EditError::EmptyName(what)) } else { Ok(name.to_owned()) }
}

fn move_to<T>(list: &mut Vec<T>, from: usize, to: usize) -> Result<(), EditError> {
    let last = list.len().saturating_sub(1);
    if to > last {
        return Err(EditError::NoPlace { place: to, last });
    }
    let item = list.remove(from);
    list.insert(to, item);
    Ok(())
}

impl Board {
    /// The family of this name.
    ///
    /// # Errors
    /// Names the families there are.
    pub fn find_family(&self, name: &str) -> Result<&Family, EditError> {
        self.family_named(name).ok_or_else(|| {
            let names: Vec<_> = self.families.iter().map(|f| f.name.as_str()).collect();
            let names = if names.is_empty() { "none yet".to_owned() } else { listed(&names) };
            EditError::NoFamily(format!("\"{}\"", shortened(name)), names)
        })
    }

    fn place_of(&self, family: FamilyId) -> Result<usize, EditError> {
        let place = self.families.iter().position(|f| f.id == family);
        place.ok_or_else(|| EditError::NoFamily(format!("number {family}"), "none of that number".to_owned()))
    }

    fn place_of_swatch(&self, swatch: SwatchId) -> Result<(usize, usize), EditError> {
        let found = self.families.iter().enumerate().find_map(|(f, family)| {
            let s = family.swatches.iter().position(|s| s.id == swatch)?;
            Some((f, s))
        });
        found.ok_or_else(|| EditError::NoSwatch(format!("number {swatch}")))
    }

    /// The first swatch id above all on the board and all in `used`.
    fn fresh_swatch(&self, used: &[SwatchId]) -> Result<SwatchId, EditError> {
        let ids = self.swatches().map(|(_, s)| s.id.0).chain(used.iter().map(|id| id.0));
        next_number(ids, "a swatch").map(SwatchId)
    }

    /// With another name.
    ///
    /// # Errors
    /// When the name is empty.
    pub fn renamed(&self, name: &str) -> Result<Board, EditError> {
        Ok(Board { name: name_of("the board", name)?, ..self.clone() })
    }

    /// Under another light of the day.
    pub fn with_light(&self, light: LightOfDay) -> Board {
        Board { light, ..self.clone() }
    }

    /// With an empty family at the end.
    ///
    /// # Errors
    /// When the name is empty or taken.
    pub fn with_family(&self, name: &str) -> Result<(Board, FamilyId), EditError> {
        let name = name_of("a family", name)?;
        if self.family_named(&name).is_some() {
            return Err(EditError::SameName(name));
        }
        let id = FamilyId(next_number(self.families.iter().map(|f| f.id.0), "a family")?);
        let mut board = self.clone();
        board.families.push(Family::new(id, &name));
        Ok((board, id))
    }

    /// With a family renamed.
    ///
    /// # Errors
    /// When there is no such family, or the name is empty or taken.
    pub fn with_family_renamed(&self, family: FamilyId, name: &str) -> Result<Board, EditError> {
        let place = self.place_of(family)?;
        let name = name_of("a family", name)?;
        if self.families.iter().any(|f| f.id != family && f.name == name) {
            return Err(EditError::SameName(name));
        }
        let mut board = self.clone();
        board.families[place].name = name;
        Ok(board)
    }

    /// With a family at a distance, or at none that is known.
    ///
    /// # Errors
    /// When there is no such family.
    pub fn with_distance(&self, family: FamilyId, distance: Option<Distance>) -> Result<Board, EditError> {
        let place = self.place_of(family)?;
        let mut board = self.clone();
        board.families[place].distance = distance;
        Ok(board)
    }

    /// With a remark dismissed, or brought back.
    pub fn with_dismissed(&self, remark: &Subject, dismissed: bool) -> Board {
        let mut board = self.clone();
        board.dismissed.retain(|s| s != remark);
        if dismissed {
            board.dismissed.push(remark.clone());
        }
        board
    }

    /// Without the dismissed remarks on swatches and families that are gone: they can never be made again.
    fn without_lost_remarks(mut self) -> Board {
        let mut dismissed = std::mem::take(&mut self.dismissed);
        dismissed.retain(|s| {
            s.swatches.iter().all(|&id| self.swatch(id).is_some())
                && s.families.iter().all(|&id| self.family(id).is_some())
        });
        Board { dismissed, ..self }
    }

    /// With a family moved to another place, counted from 0.
    ///
    /// # Errors
    /// When there is no such family or place.
    pub fn with_family_at(&self, family: FamilyId, place: usize) -> Result<Board, EditError> {
        let from = self.place_of(family)?;
        let mut board = self.clone();
        move_to(&mut board.families, from, place)?;
        Ok(board)
    }

    /// Without a family and its swatches.
    ///
    /// # Errors
    /// When there is no such family.
    pub fn without_family(&self, family: FamilyId) -> Result<Board, EditError> {
        let place = self.place_of(family)?;
        let mut board = self.clone();
        board.families.remove(place);
        Ok(board.without_lost_remarks())
    }

    /// With a swatch at the end of a family. `used` are swatch ids that must not come back.
    ///
    /// # Errors
    /// When there is no such family or the colour is not finite.
    pub fn with_swatch(
        &self,
        family: FamilyId,
        role: Role,
        name: &str,
        colour: Colour,
        used: &[SwatchId],
    ) -> Result<(Board, SwatchId), EditError> {
        if !colour.is_finite() {
            return Err(EditError::NotAColour);
        }
        let place = self.place_of(family)?;
        let id = self.fresh_swatch(used)?;
        let mut board = self.clone();
        board.families[place].swatches.push(Swatch { id, role, name: name.trim().to_owned(), colour });
        Ok((board, id))
    }

    /// The place of a new swatch of this role in a family, where the lightest lie on top: before the first of a role that lies below.
    pub fn place_by_role(&self, family: FamilyId, role: Role) -> usize {
        let rank = |role| [Role::Light, Role::Local, Role::Shadow, Role::Accent].iter().position(|r| *r == role);
        let swatches = self.family(family).map(|f| f.swatches.as_slice()).unwrap_or_default();
        swatches.iter().position(|s| rank(s.role) > rank(role)).unwrap_or(swatches.len())
    }

    /// Lays shadow, local and light into the family of this name, which is made if need be, the lightest on top. A role the family has
    /// already takes the new colour and keeps its swatch.
    ///
    /// # Errors
    /// When the name is empty or a colour is not finite.
    pub fn with_trio(&self, family: &str, trio: [(Role, Colour); 3], used: &[SwatchId]) -> Result<Board, EditError> {
        let (mut board, id) = match self.family_named(family.trim()) {
            Some(found) => (self.clone(), found.id),
            None => self.with_family(family)?,
        };
        for (role, colour) in trio {
            let there = board.family(id).and_then(|f| f.with_role(role)).map(|s| s.id);
            board = match there {
                Some(swatch) => board.with_colour(swatch, colour)?,
                None => {
                    let place = board.place_by_role(id, role);
                    let (board, swatch) = board.with_swatch(id, role, "", colour, used)?;
                    board.with_swatch_at(swatch, id, place)?
                }
            };
        }
        Ok(board)
    }

    fn with_changed(&self, swatch: SwatchId, change: impl FnOnce(&mut Swatch)) -> Result<Board, EditError> {
        let (family, place) = self.place_of_swatch(swatch)?;
        let mut board = self.clone();
        change(&mut board.families[family].swatches[place]);
        Ok(board)
    }

    /// With a swatch recoloured: all paint of it follows.
    ///
    /// # Errors
    /// When there is no such swatch or the colour is not finite.
    pub fn with_colour(&self, swatch: SwatchId, colour: Colour) -> Result<Board, EditError> {
        if !colour.is_finite() {
            return Err(EditError::NotAColour);
        }
        self.with_changed(swatch, |s| s.colour = colour)
    }

    /// With a swatch renamed; an empty name goes back to family and role.
    ///
    /// # Errors
    /// When there is no such swatch.
    pub fn with_swatch_renamed(&self, swatch: SwatchId, name: &str) -> Result<Board, EditError> {
        self.with_changed(swatch, |s| s.name = name.trim().to_owned())
    }

    /// With a swatch in another role.
    ///
    /// # Errors
    /// When there is no such swatch.
    pub fn with_role(&self, swatch: SwatchId, role: Role) -> Result<Board, EditError> {
        self.with_changed(swatch, |s| s.role = role)
    }

    /// With a swatch moved to a place (from 0) in a family, its own or another; it keeps its identity.
    ///
    /// # Errors
    /// When there is no such swatch, family or place.
    pub fn with_swatch_at(&self, swatch: SwatchId, family: FamilyId, place: usize) -> Result<Board, EditError> {
        let (from, at) = self.place_of_swatch(swatch)?;
        let to = self.place_of(family)?;
        let mut board = self.clone();
        let moved = board.families[from].swatches.remove(at);
        let swatches = &mut board.families[to].swatches;
        if place > swatches.len() {
            return Err(EditError::NoPlace { place, last: swatches.len() });
        }
        swatches.insert(place, moved);
        Ok(board)
    }

    /// Without a swatch. What becomes of its paint is for the study to say.
    ///
    /// # Errors
    /// When there is no such swatch.
    pub fn without_swatch(&self, swatch: SwatchId) -> Result<Board, EditError> {
        let (family, place) = self.place_of_swatch(swatch)?;
        let mut board = self.clone();
        board.families[family].swatches.remove(place);
        Ok(board.without_lost_remarks())
    }
}

#[cfg(test)]
#[allow(clippy::unwrap_used)]
mod tests {
    use super::*;

    const GREY: Colour = Colour::new(0.2, 0.2, 0.2);

    fn board() -> (Board, FamilyId, SwatchId) {
        let (board, family) = Board::new("depot", LightOfDay::Cool).with_family("Brick").unwrap();
        let (board, swatch) = board.with_swatch(family, Role::Local, "", GREY, &[]).unwrap();
        (board, family, swatch)
    }

    #[test]
    fn an_id_at_the_end_of_its_range_is_never_given_again() {
        let (mut board, family, _) = board();
        board.families[0].swatches[0].id = SwatchId(u32::MAX);
        let refused = board.with_swatch(family, Role::Light, "", GREY, &[]).unwrap_err();
        assert_eq!(refused, EditError::NoNumber("a swatch"));
        assert!(refused.to_string().contains("start a new board"), "{refused}");
        board.families[0].id = FamilyId(u32::MAX);
        assert_eq!(board.with_family("Sky").unwrap_err(), EditError::NoNumber("a family"));
        let (fresh, family, _) = self::board();
        let other = fresh.with_swatch(family, Role::Light, "", GREY, &[SwatchId(u32::MAX)]);
        assert_eq!(other.unwrap_err(), EditError::NoNumber("a swatch"));
    }

    #[test]
    fn a_swatch_keeps_its_identity_through_every_edit() {
        let (board, family, swatch) = board();
        let (board, sky) = board.with_family("Sky").unwrap();
        let board = board.with_swatch_at(swatch, sky, 0).unwrap();
        let board = board.with_colour(swatch, Colour::new(0.1, 0.2, 0.3)).unwrap();
        let board = board.with_swatch_renamed(swatch, " dusk ").unwrap().with_role(swatch, Role::Accent).unwrap();
        let found = board.swatch(swatch).unwrap();
        assert_eq!((found.name.as_str(), found.role, found.colour.b), ("dusk", Role::Accent, 0.3));
        assert_eq!(board.family_of(swatch).unwrap().id, sky);
        assert!(board.family(family).unwrap().swatches.is_empty());
    }

    #[test]
    fn ids_do_not_come_back() {
        let (board, family, swatch) = board();
        let board = board.without_swatch(swatch).unwrap();
        let (_, again) = board.with_swatch(family, Role::Local, "", GREY, &[swatch]).unwrap();
        assert_ne!(again, swatch);
    }

    #[test]
    fn a_trio_fills_roles_and_recolours_those_there_are() {
        let (board, _, swatch) = board();
        let trio = [(Role::Shadow, GREY), (Role::Local, Colour::new(0.5, 0.4, 0.3)), (Role::Light, GREY)];
        let board = board.with_trio("Brick", trio, &[]).unwrap();
        assert_eq!(board.families[0].swatches.len(), 3);
        assert_eq!(board.swatch(swatch).unwrap().colour.r, 0.5);
        assert_eq!(board.with_trio("Yard", trio, &[]).unwrap().families.len(), 2);
    }

    #[test]
    fn edits_that_make_no_sense_are_refused_with_a_reason() {
        let (board, family, swatch) = board();
        assert_eq!(board.with_family(" Brick "), Err(EditError::SameName("Brick".to_owned())));
        assert!(board.with_family("  ").is_err());
        assert!(board.with_colour(swatch, Colour::new(f32::NAN, 0.0, 0.0)).is_err());
        assert!(board.with_swatch_at(swatch, family, 1).is_err());
        assert!(board.with_family_at(family, 1).is_err());
        assert!(board.without_swatch(SwatchId(99)).is_err());
        let text = board.find_family("Sky").unwrap_err().to_string();
        assert!(text.contains("\"Sky\"") && text.contains("Brick"), "{text}");
    }
}
