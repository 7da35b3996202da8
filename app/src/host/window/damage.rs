//! Which parts of the window look different from the frame before, so that only those are drawn again.
//!
//! A software driver takes longer to draw all panels once than the engine takes for a stroke; and a real GPU need not be
//! kept busy with what nobody changed.

use egui::epaint::{ClippedPrimitive, Mesh, Primitive, Vertex};
use egui::{Rect, TextureId};
use std::collections::BTreeSet;

/// More parts than this are drawn as one.
const MAX_RECTS: usize = 6;

/// A rectangle of window pixels: left, top, right, bottom; right and bottom lie outside.
#[derive(Clone, Copy, PartialEq, Eq, Debug)]
pub struct WindowRect {
    /// Left edge.
    pub left: u32,
    /// Top edge.
    pub top: u32,
    /// First column to the right of it.
    pub right: u32,
    /// First row below it.
    pub bottom: u32,
}

impl WindowRect {
    /// The common part, if there is one.
    pub fn within(self, other: WindowRect) -> Option<WindowRect> {
        let rect = WindowRect {
            left: self.left.max(other.left),
            top: self.top.max(other.top),
            right: self.right.min(other.right),
            bottom: self.bottom.min(other.bottom),
        };
        (rect.left < rect.right && rect.top < rect.bottom).then_some(rect)
    }

    fn around(self, other: WindowRect) -> WindowRect {
        WindowRect {
            left: self.left.min(other.left),
            top: self.top.min(other.top),
            right: self.right.max(other.right),
            bottom: self.bottom.max(other.bottom),
        }
    }

    fn pixels(self) -> u64 {
        u64::from(self.right - self.left) * u64::from(self.bottom - self.top)
    }
}

/// The parts to be drawn again.
#[derive(Clone, PartialEq, Eq, Debug)]
pub struct Damage {
    whole: WindowRect,
    rects: Vec<WindowRect>,
}

impl Damage {
    /// Nothing yet, in a window of this size.
    pub fn none([width, height]: [u32; 2]) -> Self {
        Damage { whole: WindowRect { left: 0, top: 0, right: width, bottom: height }, rects: Vec::new() }
    }

    /// Everything.
    pub fn all(&mut self) {
        self.rects = vec![self.whole];
    }

    /// Whether everything is to be drawn.
    pub fn is_all(&self) -> bool {
        self.rects == [self.whole]
    }

    /// The parts; none of them overlaps another.
    pub fn rects(&self) -> &[WindowRect] {
        &self.rects
    }

    /// Adds a rectangle of window pixels; what lies outside the window is cut off.
    pub fn add(&mut self, [left, top, right, bottom]: [f64; 4]) {
        #[expect(clippy::cast_possible_truncation, reason = "clamped to the window")]
        let clip = |v: f64, most: u32| v.clamp(0.0, f64::from(most)) as u32;
        let WindowRect { right: width, bottom: height, .. } = self.whole;
        let rect = WindowRect {
            left: clip(left.floor(), width),
            top: clip(top.floor(), height),
            right: clip(right.ceil(), width),
            bottom: clip(bottom.ceil(), height),
        };
        if rect.left < rect.right && rect.top < rect.bottom {
            self.add_rect(rect);
        }
    }

    fn add_rect(&mut self, mut rect: WindowRect) {
        // Parts that meet, or that hardly grow by it, become one; that may make them meet others.
        while let Some(at) = self.rects.iter().position(|&other| {
            let apart = rect.pixels() + other.pixels();
            rect.within(other).is_some() || rect.around(other).pixels() * 4 <= apart * 5
        }) {
            rect = rect.around(self.rects.swap_remove(at));
        }
        self.rects.push(rect);
        if self.rects.len() > MAX_RECTS {
            let all = self.rects.drain(..).reduce(WindowRect::around);
            self.rects.extend(all);
        }
    }

    /// Adds what differs between two frames of egui. `textures` have another content than before.
    pub fn add_changes(
        &mut self,
        old: &[ClippedPrimitive],
        new: &[ClippedPrimitive],
        textures: &BTreeSet<TextureId>,
        pixels_per_point: f32,
    ) {
        let mut add = |rect: Rect| {
            // A pixel more on each side: edges are softened.
            let pixel = |v: f32, by: f64| f64::from(v * pixels_per_point) + by;
            if rect.is_positive() {
                self.add([
                    pixel(rect.left(), -1.0),
                    pixel(rect.top(), -1.0),
                    pixel(rect.right(), 1.0),
                    pixel(rect.bottom(), 1.0),
                ]);
            }
        };
        let stays = |a: &ClippedPrimitive, b: &ClippedPrimitive| match (&a.primitive, &b.primitive) {
            (Primitive::Mesh(x), Primitive::Mesh(y)) => {
                a.clip_rect == b.clip_rect && x == y && !textures.contains(&y.texture_id)
            }
            _ => false,
        };
        let front = old.iter().zip(new).take_while(|(a, b)| stays(a, b)).count();
        let (old, new) = (&old[front..], &new[front..]);
        let back = old.iter().rev().zip(new.iter().rev()).take_while(|(a, b)| stays(a, b)).count();
        let (old, new) = (&old[..old.len() - back], &new[..new.len() - back]);
        if old.len() != new.len() {
            old.iter().chain(new).for_each(|p| add(extent(p)));
            return;
        }
        for (a, b) in old.iter().zip(new).filter(|(a, b)| !stays(a, b)) {
            match (&a.primitive, &b.primitive) {
                (Primitive::Mesh(x), Primitive::Mesh(y))
                    if a.clip_rect == b.clip_rect
                        && x.texture_id == y.texture_id
                        && !textures.contains(&y.texture_id) =>
                {
                    let (x, y) = changed(x, y);
                    add(x.intersect(a.clip_rect));
                    add(y.intersect(a.clip_rect));
                }
                _ => {
                    add(extent(a));
                    add(extent(b));
                }
            }
        }
    }
}

/// Everything a primitive may draw on.
fn extent(primitive: &ClippedPrimitive) -> Rect {
    match &primitive.primitive {
        Primitive::Mesh(mesh) => mesh.calc_bounds().intersect(primitive.clip_rect),
        Primitive::Callback(_) => primitive.clip_rect,
    }
}

/// What the triangles cover, before and after, whose corners are not the same in both.
fn changed(old: &Mesh, new: &Mesh) -> (Rect, Rect) {
    let front = old.vertices.iter().zip(&new.vertices).take_while(|(a, b)| a == b).count();
    let rest = (&old.vertices[front..], &new.vertices[front..]);
    let back = rest.0.iter().rev().zip(rest.1.iter().rev()).take_while(|(a, b)| a == b).count();
    if rest.0.len() == back && rest.1.len() == back {
        // The same corners, joined in another way.
        return (old.calc_bounds(), new.calc_bounds());
    }
    let touched = |mesh: &Mesh| {
        #[expect(clippy::cast_possible_truncation, reason = "vertices are counted in 32 bits, as their indices are")]
        let differs = front as u32..(mesh.vertices.len() - back) as u32;
        let mut bounds = Rect::NOTHING;
        for triangle in mesh.indices.chunks_exact(3).filter(|t| t.iter().any(|i| differs.contains(i))) {
            let corners = triangle.iter().filter_map(|&i| mesh.vertices.get(i as usize));
            corners.for_each(|corner: &Vertex| bounds.extend_with(corner.pos));
        }
        bounds
    };
    (touched(old), touched(new))
}

#[cfg(test)]
mod tests {
    use super::*;
    use egui::{Color32, pos2};

    const SCREEN: Rect = Rect { min: pos2(0.0, 0.0), max: pos2(1000.0, 800.0) };

    fn rect(left: u32, top: u32, right: u32, bottom: u32) -> WindowRect {
        WindowRect { left, top, right, bottom }
    }

    fn mesh(rects: &[(f32, f32, u8)]) -> ClippedPrimitive {
        let mut mesh = Mesh::default();
        for &(x, y, grey) in rects {
            mesh.add_colored_rect(Rect::from_min_size(pos2(x, y), egui::vec2(10.0, 10.0)), Color32::from_gray(grey));
        }
        ClippedPrimitive { clip_rect: SCREEN, primitive: Primitive::Mesh(mesh) }
    }

    fn changes(old: &[ClippedPrimitive], new: &[ClippedPrimitive]) -> Vec<WindowRect> {
        let mut damage = Damage::none([1000, 800]);
        damage.add_changes(old, new, &BTreeSet::new(), 1.0);
        damage.rects.sort_by_key(|p| (p.left, p.top));
        damage.rects
    }

    #[test]
    fn equal_frames_change_nothing() {
        let frame = [mesh(&[(0.0, 0.0, 1), (50.0, 50.0, 2)])];
        assert_eq!(changes(&frame, &frame.clone()), []);
    }

    #[test]
    fn only_the_shape_that_changed_is_drawn_again() {
        let old = [mesh(&[(0.0, 0.0, 1), (50.0, 50.0, 2), (500.0, 300.0, 3)])];
        let grey = [mesh(&[(0.0, 0.0, 1), (50.0, 50.0, 9), (500.0, 300.0, 3)])];
        assert_eq!(changes(&old, &grey), [rect(49, 49, 61, 61)]);
        let moved = [mesh(&[(0.0, 0.0, 1), (300.0, 50.0, 2), (500.0, 300.0, 3)])];
        assert_eq!(changes(&old, &moved), [rect(49, 49, 61, 61), rect(299, 49, 311, 61)]);
        // One more shape in the middle: only it, though all indices behind it are other numbers now.
        let more = [mesh(&[(0.0, 0.0, 1), (50.0, 50.0, 2), (700.0, 700.0, 7), (500.0, 300.0, 3)])];
        assert_eq!(changes(&old, &more), [rect(699, 699, 711, 711)]);
        assert_eq!(changes(&more, &old), [rect(699, 699, 711, 711)]);
    }

    #[test]
    fn layers_that_come_and_go_are_drawn_where_they_were() {
        let below = mesh(&[(0.0, 0.0, 1)]);
        let (ring, moved) = (mesh(&[(200.0, 200.0, 5)]), mesh(&[(400.0, 400.0, 5)]));
        assert_eq!(changes(&[below.clone(), ring.clone()], std::slice::from_ref(&below)), [rect(199, 199, 211, 211)]);
        let rects = changes(&[below.clone(), ring], &[below, moved]);
        assert_eq!(rects, [rect(199, 199, 211, 211), rect(399, 399, 411, 411)]);
    }

    #[test]
    fn a_texture_with_other_content_is_drawn_wherever_it_is_used() {
        let frame = [mesh(&[(0.0, 0.0, 1), (50.0, 50.0, 2)])];
        let mut damage = Damage::none([1000, 800]);
        damage.add_changes(&frame, &frame.clone(), &BTreeSet::from([TextureId::default()]), 2.0);
        assert_eq!(damage.rects(), [rect(0, 0, 121, 121)]);
    }

    #[test]
    fn parts_that_meet_become_one_and_many_become_one() {
        let mut damage = Damage::none([1000, 800]);
        damage.add([0.0, 0.0, 10.0, 10.0]);
        damage.add([500.0, 500.0, 510.0, 510.0]);
        assert_eq!(damage.rects().len(), 2);
        damage.add([5.0, 5.0, 20.0, 20.0]);
        assert_eq!(damage.rects(), [rect(500, 500, 510, 510), rect(0, 0, 20, 20)]);
        for i in 0..MAX_RECTS {
            damage.add([100.0 * i as f64, 790.0, 100.0 * i as f64 + 5.0, 900.0]);
        }
        assert!(damage.rects().len() <= MAX_RECTS);
        damage.add([-50.0, -50.0, -1.0, -1.0]);
        let covered = damage.rects().iter().copied().reduce(WindowRect::around);
        assert_eq!(covered, Some(rect(0, 0, 510, 800)), "nothing outside the window, nothing lost");
    }
}
