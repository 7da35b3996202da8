//! Which kept boards fit what is looked for, the best first.

use super::entry::Entry;
use super::palette::Palette;
use stint_model::board::LightOfDay;
use stint_model::colour::Colour;

/// In which order boards come that nothing ranks.
#[derive(Clone, Copy, PartialEq, Eq, Debug, Default)]
pub enum Order {
    /// The latest date first; those without a date last.
    #[default]
    Newest,
    /// The earliest date first; those without a date last.
    Oldest,
    /// By name.
    Name,
}

/// What is looked for. Everything that is set must hold; what is empty does not count.
#[derive(Clone, PartialEq, Debug, Default)]
pub struct Query {
    /// Words that must all occur in the names of board, families and swatches or in that of the photo.
    pub words: String,
    /// The light of the day.
    pub light: Option<LightOfDay>,
    /// Boards are ranked by how near any swatch is to this colour.
    pub near: Option<Colour>,
    /// Boards are ranked by how like they are to this one.
    pub like: Option<Palette>,
    /// The order otherwise, and among equals.
    pub order: Order,
}

/// A board that fits.
#[derive(Clone, Copy, PartialEq, Debug)]
pub struct Hit {
    /// Its place among the entries.
    pub place: usize,
    /// CIEDE2000 of its nearest swatch to the colour looked for.
    pub near: Option<f64>,
    /// How far it is from the palette looked for, see [`Palette::apart`].
    pub like: Option<f64>,
}

impl Hit {
    /// What it is ranked by: the sum of the figures, so that a board has to answer to both questions.
    fn rank(&self) -> f64 {
        self.near.unwrap_or(0.0) + self.like.unwrap_or(0.0)
    }
}

/// The entries that fit, ranked. A broken file fits when its name has all the words and nothing is asked of its colours; it
/// comes last.
pub fn search(entries: &[Entry], query: &Query) -> Vec<Hit> {
    let words: Vec<String> = query.words.split_whitespace().map(str::to_lowercase).collect();
    let mut hits: Vec<Hit> = entries.iter().enumerate().filter_map(|(i, e)| fits(i, e, query, &words)).collect();
    let date = |hit: &Hit| entries[hit.place].content.as_ref().map_or("", |kept| kept.board.date.as_str());
    hits.sort_by(|a, b| {
        let broken = |hit: &Hit| entries[hit.place].content.is_err();
        let (one, other) = (date(a), date(b));
        let dated = match query.order {
            Order::Name => std::cmp::Ordering::Equal,
            Order::Newest => other.cmp(one),
            Order::Oldest => one.is_empty().cmp(&other.is_empty()).then(one.cmp(other)),
        };
        // The entries come by name.
        broken(a).cmp(&broken(b)).then(a.rank().total_cmp(&b.rank())).then(dated).then(a.place.cmp(&b.place))
    });
    hits
}

fn fits(place: usize, entry: &Entry, query: &Query, words: &[String]) -> Option<Hit> {
    let has = |text: &str| {
        let text = text.to_lowercase();
        words.iter().all(|w| text.contains(w.as_str()))
    };
    let Ok(kept) = &entry.content else {
        let colours = query.light.is_some() || query.near.is_some() || query.like.is_some();
        return (!colours && has(&entry.name)).then_some(Hit { place, near: None, like: None });
    };
    let board = &kept.board;
    if query.light.is_some_and(|light| light != board.light) {
        return None;
    }
    let named = board.families.iter().map(|f| f.name.as_str()).chain(board.swatches().map(|(_, s)| s.name.as_str()));
    let text = named.fold(format!("{}\n{}", board.name, board.photo), |text, name| text + "\n" + name);
    if !has(&text) {
        return None;
    }
    // A board without swatches is near to nothing.
    let near = match query.near {
        Some(colour) => Some(kept.palette.distance_to(colour)?),
        None => None,
    };
    let like = match &query.like {
        Some(palette) => Some(kept.palette.apart(palette)?),
        None => None,
    };
    Some(Hit { place, near, like })
}
