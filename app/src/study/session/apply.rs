//! One command at a time, to the part that knows how.

use super::board::{NewSwatch, with_swatch};
use super::boards::{forget_board, new_board, switch_board};
use super::passes::{add_pass, move_pass, rename_pass, set_strength, show_pass};
use super::reference::{adjust, crop_photo, line_up};
use super::work_time::set_stint;
use super::{Done, Loaded, Session, SessionError, StrokeTool};
use crate::study::command::Command;
use stint_model::board::Board;
use stint_model::board::check::check;
use stint_model::colour::Colour;
use stint_model::photo::Adjustments;
use stint_model::study::travel::Direction;
use stint_model::variation::relight::{White, relight, relight_to};
use stint_model::variation::{key::key, turn::turn};
use stint_model::well::Well;
use stint_render::canvas::Fill;

/// Applies a command.
pub(super) fn apply(session: &mut Session, command: &Command) -> Result<Done, SessionError> {
    session.finish_fill();
    // What is taken in hand changes nothing that shows, so a board that is tried out stays.
    let in_hand = matches!(
        command,
        Command::Load(_) | Command::LoadFrom { .. } | Command::LoadFree(_) | Command::LoadWell | Command::Brush(_)
    );
    if !in_hand {
        session.finish_travels()?;
    }
    match session.may_begin() {
        Err(SessionError::Moving) if in_hand => {}
        other => other?,
    }
    if in_hand {
        // What is taken in hand now is wanted in place of it.
        session.picking = None;
    } else {
        session.settle_pick();
        session.end_preview();
    }
    // What lays paint goes behind the strokes before it; anything else begins from a study that knows them.
    let lays = matches!(
        command,
        Command::Stroke(_)
            | Command::Scrape(_)
            | Command::Soften(_)
            | Command::Mass { .. }
            | Command::Fill { .. }
            | Command::MoveArea(_)
            | Command::UseProtection(_)
    );
    if !in_hand && !lays {
        session.settle_lifts()?;
    }
    match command {
        Command::Reference(path) => session.take_reference(command, path),
        Command::Adjust { hue_turn, soften, exposure, contrast } => {
            let to = Adjustments {
                hue_turn_degrees: *hue_turn,
                soften_px: *soften,
                exposure_stops: *exposure,
                contrast: *contrast,
                crop: None,
            };
            session.edit(command, |_, d| adjust(d, to))
        }
        Command::CropPhoto { part } => session.edit(command, |s, d| crop_photo(s, d, *part)),
        Command::CropCanvas { part } => session.crop_canvas(command, *part),
        Command::LineUp { corners } => session.edit(command, |_, d| line_up(d, *corners)),
        Command::Pick { family, role, name, at, aperture, nudged, by_role } => {
            let new = NewSwatch { family, role: *role, name, by_role: *by_role };
            session.edit_board(command, |s, d| s.pick(d, new, (*at, *aperture, *nudged)))
        }
        Command::PickTrio { family, outline, moved } => {
            session.edit_board(command, |s, d| s.pick_trio(d, family, outline, moved))
        }
        Command::PickAgain => session.edit_board(command, Session::pick_again),
        Command::ProposeBoard(families) => session.edit_board(command, |s, d| s.propose(d, *families)),
        Command::UseBoard(path) => session.edit_board(command, |s, d| {
            d.board = s.board_from(path)?;
            Ok(())
        }),
        Command::ReviseBoard(board) => session.revise(command, |_, _| {
            check(board)?;
            Ok((**board).clone())
        }),
        Command::NewBoard(board) => session.edit_board(command, |_, d| new_board(d, board)),
        Command::SwitchBoard(name) => session.edit_board(command, |_, d| switch_board(d, name)),
        Command::ForgetBoard(name) => session.edit_board(command, |_, d| forget_board(d, name)),
        Command::SetDistance { family, distance } => {
            session.revise(command, |_, b| Ok(b.with_distance(b.find_family(family)?.id, *distance)?))
        }
        Command::Dismiss { remark, dismissed } => {
            session.revise(command, |_, b| Ok(b.with_dismissed(remark, *dismissed)))
        }
        Command::AddFamily(name) => session.revise(command, |_, b| Ok(b.with_family(name)?.0)),
        Command::RenameFamily { family, name } => {
            session.revise(command, |_, b| Ok(b.with_family_renamed(b.find_family(family)?.id, name)?))
        }
        Command::MoveFamily { family, place } => {
            session.revise(command, |_, b| Ok(b.with_family_at(b.find_family(family)?.id, *place)?))
        }
        Command::RemoveFamily(name) => session.revise(command, |_, b| Ok(b.without_family(b.find_family(name)?.id)?)),
        Command::AddSwatch { family, role, name, colour, by_role } => session.edit_board(command, |_, d| {
            let new = NewSwatch { family, role: *role, name, by_role: *by_role };
            d.board = with_swatch(d, new, Colour::from_hex(colour)?)?.0;
            Ok(())
        }),
        Command::ChangeSwatch { swatch, role, name, colour } => {
            session.edit_board(command, |s, d| s.change_swatch(d, swatch, *role, name, colour))
        }
        Command::Recolour { swatch, colour } => {
            session.edit_board(command, |s, d| s.recolour(d, swatch, Colour::from_hex(colour)?))
        }
        Command::RenameSwatch { swatch, name } => {
            session.revise(command, |s, b| Ok(b.with_swatch_renamed(s.find_swatch(swatch)?, name)?))
        }
        Command::SetRole { swatch, role } => {
            session.revise(command, |s, b| Ok(b.with_role(s.find_swatch(swatch)?, *role)?))
        }
        Command::MoveSwatch { swatch, family, place } => session.revise(command, |s, b| {
            let (board, family) = match b.family_named(family.trim()) {
                Some(found) => (b.clone(), found.id),
                None => b.with_family(family)?,
            };
            Ok(board.with_swatch_at(s.find_swatch(swatch)?, family, *place)?)
        }),
        Command::RemoveSwatch { swatch, paint } => {
            session.edit_board(command, |s, d| s.remove_swatch(d, swatch, paint))
        }
        Command::RenameBoard(name) => session.revise(command, |_, b| Ok(b.renamed(name)?)),
        Command::SetLight(light) => session.revise(command, |_, b| Ok(b.with_light(*light))),
        Command::Turn(degrees) => session.revise(command, |_, b| Ok(turn(b, *degrees)?.board)),
        Command::Relight(kelvin) => session.revise(command, |_, b| Ok(relight(b, *kelvin)?.board)),
        Command::RelightTo { white: (x, y) } => session.revise(command, |_, b| {
            let white = White::new(*x, *y).ok_or(SessionError::NotAWhite(*x, *y))?;
            Ok(relight_to(b, white).board)
        }),
        Command::Key { spread, shift } => session.revise(command, |_, b| Ok(key(b, *spread, *shift)?.board)),
        Command::SetGround { name, colour } => session.edit(command, |_, d| {
            d.ground.name = name.trim().to_owned();
            d.ground.colour = Colour::from_hex(colour)?;
            Ok(())
        }),
        Command::SetMixing(mixing) => session.edit(command, |_, d| {
            d.mixing = *mixing;
            Ok(())
        }),
        Command::AddPass(name) => session.edit(command, |_, d| add_pass(d, name)),
        Command::SelectPass(name) => session.select_pass(name),
        Command::RenamePass { pass, name } => session.edit(command, |_, d| rename_pass(d, pass, name)),
        Command::ShowPass { pass, visible } => session.edit(command, |_, d| show_pass(d, pass, *visible)),
        Command::PassStrength { pass, strength } => session.edit(command, |_, d| set_strength(d, pass, *strength)),
        Command::MovePass { pass, place } => session.edit(command, |_, d| move_pass(d, pass, *place)),
        Command::MergeDown(name) => session.merge_down(command, name),
        Command::ClearPass(name) => session.clear_pass(command, name),
        Command::RemovePass(name) => session.remove_pass(command, name),
        Command::Load(swatch) => {
            let id = session.find_swatch(swatch)?;
            session.loaded = Some(Loaded::Swatch(id));
            Ok(Done::default())
        }
        Command::LoadFrom { at } => session.load_from(*at),
        Command::Stir { swatch, parts } => session.edit(command, |s, d| {
            d.well = d.well.stirred(s.find_swatch(swatch)?, *parts)?;
            Ok(())
        }),
        Command::ClearWell => session.edit(command, |_, d| {
            d.well = Well::default();
            Ok(())
        }),
        Command::LoadWell => session.load_well(),
        Command::LoadFree(hex) => session.load_free(Colour::from_hex(hex)?),
        Command::Brush(brush) => {
            brush.check()?;
            session.brush = brush.clone();
            Ok(Done::default())
        }
        Command::Stroke(samples) => session.stroke(StrokeTool::Brush, samples),
        Command::Scrape(samples) => session.stroke(StrokeTool::Scrape, samples),
        Command::Soften(samples) => session.stroke(StrokeTool::Soften, samples),
        Command::Mass { outline, edge } => session.mass(command, outline, *edge),
        Command::Fill { at, tolerance, gap } => {
            session.fill(command, Fill { at: *at, tolerance: *tolerance, gap_px: *gap })
        }
        Command::Protect { outline, paintable } => session.protect(command, outline, *paintable),
        Command::Unprotect => session.unprotect(command),
        Command::UseProtection(used) => session.use_protection(*used),
        Command::MoveArea(placement) => session.move_area(placement),
        Command::SetStint(minutes) => session.edit(command, |_, d| set_stint(d, *minutes)),
        Command::OpenFree => session.open_free(command),
        Command::ShutFree => session.shut_free(command),
        Command::OpenPhoto => session.open_photo(command),
        Command::ShutPhoto => session.shut_photo(command),
        Command::Undo => session.travel(Direction::Back),
        Command::Redo => session.travel(Direction::On),
    }
}

impl Session {
    /// Makes a change of the board that depends on nothing but the board.
    fn revise(
        &mut self,
        command: &Command,
        change: impl FnOnce(&Session, &Board) -> Result<Board, SessionError>,
    ) -> Result<Done, SessionError> {
        self.edit_board(command, |session, document| {
            document.board = change(session, &document.board)?;
            Ok(())
        })
    }
}
