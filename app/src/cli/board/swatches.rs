//! `stint board from PICTURE --swatches`: a board from a picture of flat patches.

use crate::cli::CliError;
use crate::cli::source::{Kind, board_of, kind_of, photo_of};
use std::path::Path;
use stint_model::board::Board;
use stint_model::photo::{Adjustments, swatch_sheet};

/// The board that a picture carries, if it carries one: that is exact. Else the patches that are seen on it.
pub(super) fn board(picture: &Path, name: Option<&str>) -> Result<Board, CliError> {
    let mut board = match kind_of(picture)? {
        Kind::Other => {
            let photo = photo_of(picture)?;
            let stem = picture.file_stem().map_or_else(|| "board".into(), |s| s.to_string_lossy());
            swatch_sheet(&photo.view(Adjustments::default()), &stem)?.board
        }
        Kind::Picture | Kind::Study | Kind::Ron | Kind::Css | Kind::Tokens | Kind::Card => board_of(picture)?,
    };
    if let Some(name) = name {
        name.clone_into(&mut board.name);
    }
    Ok(board)
}
