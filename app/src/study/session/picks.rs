//! Swatches from the reference: picked, proposed, and picked again when the photo is adjusted otherwise.

use super::board::{NewSwatch, used_swatches, with_swatch};
use super::{Session, SessionError};
use crate::study::command::MovedTone;
use stint_model::board::{Board, Role};
use stint_model::colour::Colour;
use stint_model::colour::gamut::{SRGB, into_gamut};
use stint_model::ids::SwatchId;
use stint_model::photo::{Adjustments, ColourChange, Photo, Trio, nudge, pick, propose_board};
use stint_model::study::{Document, PickSource, Picked};

impl Session {
    /// Picks a swatch at one spot of the reference.
    pub(super) fn pick(
        &mut self,
        document: &mut Document,
        new: NewSwatch<'_>,
        (at, aperture, nudged): ((u32, u32), u32, bool),
    ) -> Result<(), SessionError> {
        let (photo, adjustments) = self.reference()?;
        let how = PickSource::Spot { at, aperture, nudged };
        let colour = self.colour_of(&photo, adjustments, &how)?;
        let (board, id) = with_swatch(document, new, colour)?;
        document.board = board;
        link(document, [(id, how)]);
        Ok(())
    }

    /// Picks light, local and shadow of an outlined surface of the reference.
    pub(super) fn pick_trio(
        &mut self,
        document: &mut Document,
        family: &str,
        outline: &[(f32, f32)],
        moved: &[MovedTone],
    ) -> Result<(), SessionError> {
        let (photo, adjustments) = self.reference()?;
        let how = sources(outline, moved);
        let mut colours = [(Role::Light, Colour::default()); 3];
        for (colour, (role, how)) in colours.iter_mut().zip(&how) {
            *colour = (*role, self.colour_of(&photo, adjustments, how)?);
        }
        let board = document.board.with_trio(family, colours, &used_swatches(document))?;
        let swatches = board.family_named(family.trim()).map(|f| f.swatches.clone()).unwrap_or_default();
        let laid = |role: Role| swatches.iter().find(|s| s.role == role).map(|s| s.id);
        document.board = board;
        link(document, how.into_iter().filter_map(|(role, how)| Some((laid(role)?, how))));
        Ok(())
    }

    /// Proposes families from the whole reference and puts them behind those that are there.
    pub(super) fn propose(&mut self, document: &mut Document, families: usize) -> Result<(), SessionError> {
        let (photo, adjustments) = self.reference()?;
        let proposed = propose_board(&photo.view(adjustments), families, "proposal")?;
        let (board, new) = with_families_of(document, &proposed)?;
        let change = ColourChange::new(adjustments);
        let as_taken = |id| board.swatch(id).map(|s| change.undone(s.colour));
        let links: Vec<_> = new.into_iter().filter_map(|id| Some((id, PickSource::Mean(as_taken(id)?)))).collect();
        document.board = board;
        link(document, links);
        Ok(())
    }

    /// Picks every swatch again that is linked to the reference.
    pub(super) fn pick_again(&mut self, document: &mut Document) -> Result<(), SessionError> {
        let (photo, adjustments) = self.reference()?;
        let key = photo_key(document);
        let mut board = document.board.clone();
        let mut picked = 0;
        for (&id, Picked { photo: from, how }) in &document.picks {
            if *from == key && board.swatch(id).is_some() {
                board = board.with_colour(id, self.colour_of(&photo, adjustments, how)?)?;
                picked += 1;
            }
        }
        if picked == 0 {
            return Err(SessionError::NothingPicked);
        }
        document.board = board;
        Ok(())
    }

    /// How many swatches of the board are linked to the present photo.
    pub fn linked_picks(&self) -> usize {
        let document = &self.document;
        let Some(reference) = &document.reference else { return 0 };
        let of_photo = document.picks.iter().filter(|(_, p)| p.photo == reference.photo);
        of_photo.filter(|(id, _)| document.board.swatch(**id).is_some()).count()
    }

    /// How many linked swatches differ, in their 8-bit codes, from what the photo gives as it is adjusted now; [`Command::PickAgain`]
    /// would change them. `None` while there are surfaces to look at: one call looks at one of them, which takes a while.
    ///
    /// # Errors
    /// When the photo cannot be read.
    pub fn picks_behind(&mut self) -> Result<Option<usize>, SessionError> {
        let (photo, adjustments) = self.reference()?;
        let key = self.document.reference.as_ref().map_or(0, |r| r.photo);
        let board = &self.document.board;
        let on_board = |(&id, picked): (&SwatchId, &Picked)| {
            let swatch = board.swatch(id).filter(|_| picked.photo == key)?;
            Some((swatch.colour, picked.how.clone()))
        };
        let picks: Vec<(Colour, PickSource)> = self.document.picks.iter().filter_map(on_board).collect();
        let (mut behind, mut looked) = (0, false);
        for (colour, how) in picks {
            if let PickSource::Surface { outline, .. } = &how
                && !self.surfaces.knows((key, adjustments), outline)
                && std::mem::replace(&mut looked, true)
            {
                return Ok(None);
            }
            // What cannot be picked any more is left as it is.
            let now = self.colour_of(&photo, adjustments, &how);
            behind += usize::from(now.is_ok_and(|now| now.to_srgb8() != colour.to_srgb8()));
        }
        Ok(Some(behind))
    }

    /// Shadow, local and light of an outlined surface of the reference, as adjusted.
    ///
    /// # Errors
    /// When there is no photo, or the outline holds too little of it.
    pub fn surface(&mut self, outline: &[(f32, f32)]) -> Result<Trio, SessionError> {
        let (photo, adjustments) = self.reference()?;
        self.trio_of(&photo, adjustments, outline)
    }

    fn trio_of(
        &mut self,
        photo: &Photo,
        adjustments: Adjustments,
        outline: &[(f32, f32)],
    ) -> Result<Trio, SessionError> {
        let key = self.document.reference.as_ref().map_or(0, |r| r.photo);
        self.surfaces.trio((key, adjustments), photo, outline)
    }

    /// The colour that a way of picking gives.
    fn colour_of(&mut self, photo: &Photo, adjustments: Adjustments, how: &PickSource) -> Result<Colour, SessionError> {
        Ok(match how {
            PickSource::Spot { at, aperture, nudged } => {
                let colour = pick(&photo.view(adjustments), at.0, at.1, *aperture)?;
                if *nudged { nudge(colour) } else { colour }
            }
            PickSource::Surface { outline, role } => tone(&self.trio_of(photo, adjustments, outline)?, *role),
            PickSource::Mean(colour) => {
                let seen = ColourChange::new(adjustments).of(*colour);
                if SRGB.nearly_holds(seen) { seen } else { into_gamut(seen, &SRGB) }
            }
        })
    }
}

/// The board of a document with the families of another behind its own, under fresh names and ids; gives the new swatches.
fn with_families_of(document: &Document, other: &Board) -> Result<(Board, Vec<SwatchId>), SessionError> {
    let mut board = document.board.clone();
    let mut new = Vec::new();
    let names = board.free_family_names(other.families.iter().map(|f| f.name.as_str()));
    for (family, name) in other.families.iter().zip(names) {
        let (with, id) = board.with_family(&name)?;
        board = with;
        for swatch in &family.swatches {
            let (with, swatch) = board.with_swatch(id, swatch.role, "", swatch.colour, &used_swatches(document))?;
            board = with;
            new.push(swatch);
        }
    }
    Ok((board, new))
}

/// The key of the reference; 0, which no photo has, when there is none.
fn photo_key(document: &Document) -> i64 {
    document.reference.as_ref().map_or(0, |r| r.photo)
}

/// Links swatches to the reference by how they were picked.
fn link(document: &mut Document, picks: impl IntoIterator<Item = (SwatchId, PickSource)>) {
    let photo = photo_key(document);
    document.picks.extend(picks.into_iter().map(|(id, how)| (id, Picked { photo, how })));
}

/// How the three tones of a surface are picked, lightest first.
fn sources(outline: &[(f32, f32)], moved: &[MovedTone]) -> [(Role, PickSource); 3] {
    [Role::Light, Role::Local, Role::Shadow].map(|role| {
        let how = match moved.iter().rev().find(|m| m.role == role) {
            Some(m) => PickSource::Spot { at: m.at, aperture: m.aperture, nudged: false },
            None => PickSource::Surface { outline: outline.to_vec(), role },
        };
        (role, how)
    })
}

fn tone(trio: &Trio, role: Role) -> Colour {
    match role {
        Role::Shadow => trio.shadow.colour,
        Role::Light => trio.light.colour,
        Role::Local | Role::Accent => trio.local.colour,
    }
}

#[cfg(test)]
#[allow(clippy::unwrap_used)]
mod tests {
    use super::*;
    use crate::study::command::{Command, SwatchRef};
    use stint_model::board::LightOfDay;
    use stint_render::choose::EngineChoice;

    const PHOTO: &str = concat!(env!("CARGO_MANIFEST_DIR"), "/../assets/demo/tram_depot.jpg");
    const WALL: [(f32, f32); 4] = [(700.0, 200.0), (1250.0, 170.0), (1250.0, 190.0), (700.0, 270.0)];

    fn session() -> Session {
        let board = Board::new("Depot", LightOfDay::Cool);
        let mut session = Session::in_memory((64, 64), board, EngineChoice::Cpu).unwrap();
        session.apply(&Command::Reference(PHOTO.to_owned())).unwrap();
        session
    }

    fn colours(session: &Session) -> Vec<String> {
        session.document().board.swatches().map(|(_, s)| s.colour.hex()).collect()
    }

    #[test]
    fn every_pick_is_taken_again_and_one_by_hand_is_left() {
        let mut session = session();
        let pick = |nudged| Command::Pick {
            family: "Sky".to_owned(),
            role: Role::Light,
            name: String::new(),
            at: (240, 360),
            aperture: 9,
            nudged,
            by_role: false,
        };
        assert!(matches!(session.apply(&Command::PickAgain), Err(SessionError::NothingPicked)));
        session.apply(&pick(false)).unwrap();
        let moved = vec![MovedTone { role: Role::Shadow, at: (720, 500), aperture: 5 }];
        session.apply(&Command::PickTrio { family: "Brick".to_owned(), outline: WALL.to_vec(), moved }).unwrap();
        session.apply(&Command::ProposeBoard(2)).unwrap();
        let before = colours(&session);
        assert_eq!(session.linked_picks(), before.len());
        session.apply(&Command::Adjust { hue_turn: 40.0, soften: 0.0, exposure: 0.0, contrast: 1.0 }).unwrap();
        session.apply(&Command::PickAgain).unwrap();
        let turned = colours(&session);
        assert!(before.iter().zip(&turned).all(|(a, b)| a != b), "{before:?} {turned:?}");
        // Back again gives what was first picked.
        session.apply(&Command::Adjust { hue_turn: 0.0, soften: 0.0, exposure: 0.0, contrast: 1.0 }).unwrap();
        session.apply(&Command::PickAgain).unwrap();
        assert_eq!(colours(&session), before);
        let sky = SwatchRef::Swatch { family: "Sky".to_owned(), role: Role::Light };
        session.apply(&Command::Recolour { swatch: sky, colour: "#8899aa".to_owned() }).unwrap();
        assert_eq!(session.linked_picks(), before.len() - 1);
        session.apply(&Command::RemoveFamily("Brick".to_owned())).unwrap();
        assert_eq!(session.document().picks.len(), before.len() - 4);
    }

    #[test]
    fn proposed_families_come_after_those_that_are_there() {
        let mut session = session();
        session.apply(&Command::AddFamily("family 2".to_owned())).unwrap();
        session.apply(&Command::ProposeBoard(3)).unwrap();
        let names: Vec<_> = session.document().board.families.iter().map(|f| f.name.clone()).collect();
        assert_eq!(names[0], "family 2");
        assert!(names.len() > 2);
        let ids: std::collections::BTreeSet<_> = session.document().board.swatches().map(|(_, s)| s.id).collect();
        assert_eq!(ids.len(), session.document().board.swatches().count());
    }
}
