//! Loading the brush: walking the tray, the paint before this one, and picking from the canvas.

use crate::study::command::{Command, SwatchRef};
use crate::ui::state::State;
use stint_model::board::Board;
use stint_model::ids::SwatchId;

/// A step on the tray.
#[derive(Clone, Copy, PartialEq, Eq, Debug)]
pub enum Walk {
    /// To the next lighter swatch of the family.
    Lighter,
    /// To the next darker swatch of the family.
    Darker,
    /// To the family before.
    Left,
    /// To the family after.
    Right,
}

/// Loads a swatch; a refusal becomes a notice.
pub fn load(state: &mut State, swatch: SwatchId) {
    if state.apply(&Command::Load(SwatchRef::Id(swatch))) {
        state.leave_scraper();
    }
}

/// Loads the swatch one step away from the loaded one, or the first of the board when none is loaded. Nothing changes beyond the
/// lightest and the darkest; families go round.
pub fn walk(state: &mut State, walk: Walk) {
    let Some(session) = &state.session else { return };
    let board = &session.document().board;
    let next = match state.loaded_swatch() {
        Some(id) => step(board, id, walk),
        None => board.swatches().next().map(|(_, s)| s.id),
    };
    if let Some(next) = next {
        load(state, next);
    }
}

/// The swatch one step away, if there is one.
fn step(board: &Board, from: SwatchId, walk: Walk) -> Option<SwatchId> {
    let place = board.families.iter().position(|f| f.swatches.iter().any(|s| s.id == from))?;
    let here = board.swatch(from)?;
    let value = here.colour.l_star();
    if let Walk::Lighter | Walk::Darker = walk {
        let mut column: Vec<_> = board.families[place].swatches.iter().collect();
        column.sort_by(|a, b| a.colour.l_star().total_cmp(&b.colour.l_star()));
        let at = column.iter().position(|s| s.id == from)?;
        let next = if walk == Walk::Lighter { at.checked_add(1) } else { at.checked_sub(1) };
        return column.get(next?).map(|s| s.id);
    }
    let count = board.families.len();
    let families = (1..count).map(|i| if walk == Walk::Right { place + i } else { place + count - i } % count);
    let family = families.map(|i| &board.families[i]).find(|f| !f.swatches.is_empty())?;
    // The same role where there is one, else the nearest value.
    let same = family.with_role(here.role);
    let apart = |s: &stint_model::board::Swatch| (s.colour.l_star() - value).abs();
    same.or_else(|| family.swatches.iter().min_by(|a, b| apart(a).total_cmp(&apart(b)))).map(|s| s.id)
}

/// Loads what shows at a canvas point: a swatch, or the mixture there. Never a colour that is no paint, and nothing free while
/// free colour is shut.
#[expect(clippy::cast_possible_truncation, reason = "the place lies on the canvas")]
pub fn pick(state: &mut State, canvas: [f64; 2]) {
    let Some(session) = &state.session else { return };
    let [x, y] = canvas.map(f64::floor);
    let (width, height) = (f64::from(session.document().width), f64::from(session.document().height));
    if (0.0..width).contains(&x) && (0.0..height).contains(&y) {
        state.pick_up((x as u32, y as u32));
    }
}

/// Keeps [`State::previous`] up to date, whoever loads the brush: it is told once a frame.
#[derive(Clone, Copy, PartialEq, Eq, Debug, Default)]
pub struct PreviousPaint(Option<SwatchId>);

impl PreviousPaint {
    /// Notes what is loaded now; when that has changed, what was loaded before becomes the previous paint.
    pub fn update(&mut self, state: &mut State) {
        let now = state.loaded_swatch();
        if now != self.0 {
            if let Some(old) = self.0 {
                state.previous = Some(old);
            }
            self.0 = now.or(self.0);
        }
    }

    /// Begins afresh on another study: nothing was loaded before.
    pub fn reset(&mut self, state: &mut State) {
        state.previous = None;
        self.0 = state.loaded_swatch();
    }
}

#[cfg(test)]
#[allow(clippy::unwrap_used)]
mod tests {
    use super::*;
    use crate::study::session::Loaded;
    use stint_model::board::{LightOfDay, Role};
    use stint_model::colour::Colour;
    use stint_render::choose::EngineChoice;

    /// Two families of a depot at blue hour and an empty one between them (invented).
    fn state() -> State {
        let board = Board::new("depot", LightOfDay::Cool);
        let mut state = State { session: Some(session(board)), ..State::default() };
        let grey = |v: u8| Colour::from_srgb8([v, v, v.saturating_add(20)]).hex();
        for (family, role, v) in [
            ("Brick", Role::Local, 100),
            ("Brick", Role::Light, 150),
            ("Brick", Role::Shadow, 50),
            ("Yard", Role::Accent, 140),
            ("Yard", Role::Shadow, 40),
        ] {
            let (family, name, colour) = (family.to_owned(), String::new(), grey(v));
            assert!(state.apply(&Command::AddSwatch { family, role, name, colour, by_role: false }));
            if v == 50 {
                assert!(state.apply(&Command::AddFamily("Sky".to_owned())));
            }
        }
        state
    }

    fn session(board: Board) -> crate::study::session::Session {
        crate::study::session::Session::in_memory((300, 200), board, EngineChoice::Cpu).unwrap()
    }

    fn at(state: &State) -> (String, Role) {
        let board = &state.session.as_ref().unwrap().document().board;
        let id = state.loaded_swatch().unwrap();
        (board.family_of(id).unwrap().name.clone(), board.swatch(id).unwrap().role)
    }

    #[test]
    fn arrows_walk_by_value_and_across_families() {
        let mut s = state();
        // The first local is on the brush without being asked for.
        assert_eq!(at(&s), ("Brick".to_owned(), Role::Local));
        walk(&mut s, Walk::Lighter);
        assert_eq!(at(&s).1, Role::Light);
        walk(&mut s, Walk::Lighter);
        assert_eq!(at(&s).1, Role::Light, "there is none lighter");
        // The empty family is passed over; the nearest value where the role is missing.
        walk(&mut s, Walk::Right);
        assert_eq!(at(&s), ("Yard".to_owned(), Role::Accent));
        walk(&mut s, Walk::Darker);
        walk(&mut s, Walk::Left);
        assert_eq!(at(&s), ("Brick".to_owned(), Role::Shadow));
    }

    #[test]
    fn the_paint_before_is_known_whoever_loads() {
        let mut s = state();
        let mut previous = PreviousPaint::default();
        previous.update(&mut s);
        let first = s.loaded_swatch();
        assert_eq!(s.previous, None);
        walk(&mut s, Walk::Lighter);
        previous.update(&mut s);
        assert_eq!(s.previous, first);
    }

    #[test]
    fn picking_loads_paint_and_never_a_free_colour_while_shut() {
        let mut s = state();
        let local = s.loaded_swatch();
        let outline = vec![[0.0, 0.0], [100.0, 0.0], [100.0, 100.0], [0.0, 100.0]];
        assert!(s.apply(&Command::Mass { outline: outline.clone(), edge: Default::default() }));
        assert!(s.apply(&Command::OpenFree));
        assert!(s.apply(&Command::LoadFree("#ff8800".to_owned())));
        let right = outline.iter().map(|[x, y]| [x + 150.0, *y]).collect();
        assert!(s.apply(&Command::Mass { outline: right, edge: Default::default() }));
        walk(&mut s, Walk::Lighter);
        pick(&mut s, [200.0, 50.0]);
        assert!(matches!(s.session.as_ref().unwrap().loaded(), Some(Loaded::Free(_))));
        pick(&mut s, [50.0, 50.0]);
        assert_eq!(s.loaded_swatch(), local);
        assert!(s.apply(&Command::ShutFree));
        pick(&mut s, [200.0, 50.0]);
        assert_eq!(s.loaded_swatch(), local, "free paint is not loaded while shut");
        assert!(s.notices.last().unwrap().contains("free colour is shut"));
    }
}
