//! Four pixels worked on together by the machine's vector instructions, with the bits that one at a time would have.

use wide::{f32x4, i32x4};

/// One number for each of four pixels.
pub type Group = f32x4;

/// Pixels of a group.
pub const GROUP: usize = 4;

/// `x` held between two bounds.
#[inline(always)]
pub fn held(x: Group, low: f32, high: f32) -> Group {
    x.fast_max(Group::splat(low)).fast_min(Group::splat(high))
}

/// The larger of each and a number.
#[inline(always)]
pub fn at_least(x: Group, low: f32) -> Group {
    x.fast_max(Group::splat(low))
}

/// The smaller of each and a number.
#[inline(always)]
pub fn at_most(x: Group, high: f32) -> Group {
    x.fast_min(Group::splat(high))
}

/// `if_true` where all bits of a comparison are set, else `if_false`.
#[inline(always)]
pub fn choose(is: Group, if_true: Group, if_false: Group) -> Group {
    is.bitselect(if_true, if_false)
}

/// Each rounded down, and what is above that, 0-1.
#[inline(always)]
pub fn split(x: Group) -> ([i32; GROUP], Group) {
    let whole = x.fast_trunc_int();
    let above = Group::from_i32x4(whole).simd_gt(x);
    let floor = whole + bytemuck::cast::<Group, i32x4>(above);
    (floor.to_array(), x - Group::from_i32x4(floor))
}

/// A smooth step from 0 at `from` to 1 at `to`, whichever is larger.
#[inline(always)]
pub fn step(from: impl Into<Group>, to: impl Into<Group>, x: Group) -> Group {
    let (from, to) = (from.into(), to.into());
    let t = held((x - from) / (to - from), 0.0, 1.0);
    t * t * (3.0 - 2.0 * t)
}

#[cfg(test)]
mod tests {
    use super::*;

    #[test]
    fn rounding_down_is_that_of_single_numbers() {
        for first in [-3.5_f32, -1.0, -0.25, 0.0, 0.75, 7.0, 8191.5] {
            let x = [first, first + 0.1, first - 0.9, first + 1000.0];
            let (floor, above) = split(Group::new(x));
            for i in 0..GROUP {
                assert_eq!((floor[i] as f32, above.to_array()[i]), (x[i].floor(), x[i] - x[i].floor()), "{}", x[i]);
            }
        }
    }

    #[test]
    fn a_step_runs_either_way_and_stays_within_its_ends() {
        let x = Group::new([-1.0, 0.25, 0.5, 9.0]);
        assert_eq!(step(0.0, 1.0, x).to_array(), [0.0, 0.15625, 0.5, 1.0]);
        assert_eq!(step(1.0, 0.0, x).to_array(), [1.0, 0.84375, 0.5, 0.0]);
    }
}
