//! Roles of swatches whose names do not tell one, from their values.
//!
//! Common practice, no published source: of one surface the darkest is the shadow, the lightest the light, and the local
//! lies between them.

use crate::board::Role;
use crate::colour::Colour;

/// The role of each swatch of one family, in order: what is known stays, the rest is guessed.
pub(super) fn with_guesses(swatches: &[(Colour, Option<Role>)]) -> Vec<Role> {
    let mut roles: Vec<Option<Role>> = swatches.iter().map(|(_, role)| *role).collect();
    let mut wanting: Vec<usize> = (0..swatches.len()).filter(|&i| roles[i].is_none()).collect();
    wanting.sort_by(|&a, &b| swatches[a].0.l_star().total_cmp(&swatches[b].0.l_star()));
    let free = |role: Role| swatches.iter().all(|(_, r)| *r != Some(role));
    let known_value = |role: Role| swatches.iter().find(|(_, r)| *r == Some(role)).map(|(c, _)| c.l_star());
    if let [only] = wanting[..] {
        roles[only] = Some(guess_one(swatches[only].0.l_star(), free, known_value));
    } else if !wanting.is_empty() {
        if free(Role::Shadow) {
            roles[wanting.remove(0)] = Some(Role::Shadow);
        }
        if free(Role::Light)
            && let Some(lightest) = wanting.pop()
        {
            roles[lightest] = Some(Role::Light);
        }
        if free(Role::Local) && !wanting.is_empty() {
            roles[wanting.remove(wanting.len() / 2)] = Some(Role::Local);
        }
    }
    roles.into_iter().map(|role| role.unwrap_or(Role::Accent)).collect()
}

/// The role of the only swatch without one, beside those that have theirs.
fn guess_one(l_star: f32, free: impl Fn(Role) -> bool, known: impl Fn(Role) -> Option<f32>) -> Role {
    let above = |role| known(role).is_some_and(|value| l_star > value);
    let below = |role| known(role).is_some_and(|value| l_star < value);
    // Outside of what is there it continues the row; else it is the surface's own colour.
    if free(Role::Shadow) && (below(Role::Local) || (!free(Role::Local) && below(Role::Light))) {
        Role::Shadow
    } else if free(Role::Light) && (above(Role::Local) || (!free(Role::Local) && above(Role::Shadow))) {
        Role::Light
    } else if free(Role::Local) {
        Role::Local
    } else {
        Role::Accent
    }
}

#[cfg(test)]
mod tests {
    use super::Role::{Accent, Light, Local, Shadow};
    use super::*;

    fn guessed(swatches: &[(f32, Option<Role>)]) -> Vec<Role> {
        let grey = |v: f32| Colour::new(v, v, v);
        with_guesses(&swatches.iter().map(|&(v, role)| (grey(v), role)).collect::<Vec<_>>())
    }

    #[test]
    fn roles_follow_value() {
        assert_eq!(guessed(&[]), []);
        assert_eq!(guessed(&[(0.1, None)]), [Local]);
        assert_eq!(guessed(&[(0.5, None), (0.1, None)]), [Light, Shadow]);
        assert_eq!(guessed(&[(0.5, None), (0.1, None), (0.3, None)]), [Light, Shadow, Local]);
        assert_eq!(
            guessed(&[(0.1, None), (0.2, None), (0.3, None), (0.4, None), (0.5, None)]),
            [Shadow, Accent, Local, Accent, Light]
        );
    }

    #[test]
    fn what_is_known_stays() {
        assert_eq!(guessed(&[(0.9, Some(Shadow)), (0.1, None), (0.2, None)]), [Shadow, Local, Light]);
        assert_eq!(guessed(&[(0.3, Some(Local)), (0.1, None)]), [Local, Shadow]);
        assert_eq!(guessed(&[(0.3, Some(Local)), (0.6, None)]), [Local, Light]);
        assert_eq!(guessed(&[(0.3, Some(Shadow)), (0.6, None)]), [Shadow, Local]);
        assert_eq!(guessed(&[(0.3, Some(Shadow)), (0.6, Some(Light)), (0.9, None)]), [Shadow, Light, Local]);
        assert_eq!(guessed(&[(0.3, Some(Accent)), (0.6, None)]), [Accent, Local]);
        let full = [(0.1, Some(Shadow)), (0.3, Some(Local)), (0.5, Some(Light)), (0.2, None)];
        assert_eq!(guessed(&full), [Shadow, Local, Light, Accent]);
    }
}
