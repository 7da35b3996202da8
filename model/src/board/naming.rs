//! What swatches and families are called.

use super::{Board, Family, Role, Swatch};

impl Family {
    /// A role of this family: "brick local".
    pub fn role_name(&self, role: Role) -> String {
        format!("{} {}", self.name, role.word())
    }

    /// A swatch of this family as people call it: its own name, or family and role where it has none.
    pub fn swatch_name(&self, swatch: &Swatch) -> String {
        if swatch.name.is_empty() { self.role_name(swatch.role) } else { swatch.name.clone() }
    }

    /// The same where the name alone would not say which swatch it is: its own name with family and role behind it, "wet tile
    /// (brick local)", or just these.
    pub fn swatch_name_and_place(&self, swatch: &Swatch) -> String {
        let place = self.role_name(swatch.role);
        if swatch.name.is_empty() { place } else { format!("{} ({place})", swatch.name) }
    }
}

impl Board {
    /// These names as far as no family of the board has them and they differ; a number behind the others: "dark blue, top 2".
    pub fn free_family_names<'a>(&self, wanted: impl IntoIterator<Item = &'a str>) -> Vec<String> {
        let mut names: Vec<String> = Vec::new();
        for name in wanted {
            let free = crate::disk::numbered(name, |n| self.family_named(n).is_some() || names.iter().any(|o| o == n));
            names.push(free);
        }
        names
    }
}

#[cfg(test)]
mod tests {
    use super::*;
    use crate::board::LightOfDay;
    use crate::colour::Colour;
    use crate::ids::{FamilyId, SwatchId};

    #[test]
    fn a_swatch_with_a_name_is_called_by_it() {
        let brick = Family::new(FamilyId(1), "brick");
        let swatch = |name: &str| Swatch {
            id: SwatchId(1),
            role: Role::Local,
            name: name.to_owned(),
            colour: Colour::new(0.2, 0.1, 0.1),
        };
        let (tile, plain) = (swatch("wet tile"), swatch(""));
        assert_eq!([brick.swatch_name(&tile), brick.swatch_name(&plain)], ["wet tile", "brick local"]);
        assert_eq!(brick.swatch_name_and_place(&tile), "wet tile (brick local)");
        assert_eq!(brick.swatch_name_and_place(&plain), "brick local");
    }

    #[test]
    fn free_names_are_taken_by_no_family() {
        let mut board = Board::new("depot", LightOfDay::Cool);
        board.families = ["brick", "family 4"].map(|name| Family::new(FamilyId(1), name)).to_vec();
        let wanted = ["blue, top", "brick", "blue, top", "grey"];
        assert_eq!(board.free_family_names(wanted), ["blue, top", "brick 2", "blue, top 2", "grey"]);
    }
}
