//! Has every surface a shadow, a local and a light?

use super::{Remark, Rule, within};
use crate::board::{Board, Family, Role};

/// A family of this many swatches is a tiny surface and needs no third.
const TINY_SURFACE_SWATCHES: usize = 2;

/// Families that lack a role. Tiny ones and families of accents alone, which are no surface, are left in peace.
pub(super) fn role_missing(board: &Board) -> Vec<Remark> {
    board.families.iter().filter_map(missing).collect()
}

fn missing(family: &Family) -> Option<Remark> {
    let count = family.swatches.len();
    let accents_only = count > 0 && family.swatches.iter().all(|s| s.role == Role::Accent);
    let absent: Vec<&str> = [Role::Shadow, Role::Local, Role::Light]
        .into_iter()
        .filter(|&role| family.with_role(role).is_none())
        .map(Role::word)
        .collect();
    if absent.is_empty() || accents_only || count == TINY_SURFACE_SWATCHES {
        return None;
    }
    let name = &family.name;
    let text = if count == 0 {
        format!("{name} has no swatch yet: a surface wants shadow, local and light; pick them or delete the family")
    } else {
        let absent = absent.join(" and no ");
        format!(
            "{name} has {count} {} but no {absent}: a surface wants shadow, local and light, and only a tiny one does \
             with two; pick the missing ones from the reference",
            if count == 1 { "swatch" } else { "swatches" }
        )
    };
    Some(within(Rule::RoleMissing, family, &[], text))
}

#[cfg(test)]
mod tests {
    use super::super::sample::{rules_of, sound_board};
    use super::*;

    #[test]
    fn three_swatches_without_a_light() {
        let mut board = sound_board();
        board.families[0].swatches[2].role = Role::Accent;
        assert_eq!(rules_of(&board), [Rule::RoleMissing]);
        let remark = &role_missing(&board)[0];
        assert_eq!(remark.families, [board.families[0].id]);
        assert!(remark.text.starts_with("brick has 3 swatches but no light:"), "{}", remark.text);
    }

    #[test]
    fn one_swatch_and_none() {
        let mut board = sound_board();
        board.families[1].swatches.truncate(1);
        assert!(role_missing(&board)[0].text.starts_with("wet yard has 1 swatch but no local and no light:"));
        board.families[1].swatches.clear();
        assert!(role_missing(&board)[0].text.starts_with("wet yard has no swatch yet:"));
        assert_eq!(rules_of(&board), [Rule::RoleMissing]);
    }
}
