//! Thresholds of the board rules that more than one module needs: a rule remarks on what lies beyond, and offers and moves stay
//! within.
//!
//! All of them are common practice among painters, with no published source. A threshold that only one rule reads stands in the
//! file of that rule.

/// Below this Munsell value (L* 10) a swatch is black to the eye.
pub const NEAR_BLACK_MUNSELL: f32 = 1.0;
/// Above this Munsell value (L* 95) a swatch is white to the eye.
pub const NEAR_WHITE_MUNSELL: f32 = 9.5;
/// How far inside these two, in Munsell value steps, a moved value comes to lie.
const CLEAR_MUNSELL: f32 = 0.1;
/// Lowest Munsell value that a move leads to.
pub const LOWEST_MUNSELL: f32 = NEAR_BLACK_MUNSELL + CLEAR_MUNSELL;
/// Highest Munsell value that a move leads to.
pub const HIGHEST_MUNSELL: f32 = NEAR_WHITE_MUNSELL - CLEAR_MUNSELL;

/// From this share of the OKLCh chroma that sRGB holds at a swatch's lightness and hue, it is at the edge.
pub const GARISH_SHARE_OF_GAMUT: f32 = 0.95;
/// Below this OKLCh chroma a colour is calm wherever the edge is: near black and white the edge is close to grey.
pub const GARISH_CHROMA: f32 = 0.13;
/// Below this OKLCh chroma the hue of a colour is noise.
pub const GREY_CHROMA: f32 = 0.005;

/// Neighbouring roles closer than this, in Munsell value steps, read as one value when squinting.
pub const CLOSE_VALUES_MUNSELL: f32 = 0.5;
/// The rise that an offer makes, Munsell value steps: a little more than what is remarked on.
pub const WANTED_RISE_MUNSELL: f32 = CLOSE_VALUES_MUNSELL + 0.02;

/// How far, in OKLab units along the warmth axis, a shadow may lie on the wrong side of its light before it is remarked
/// on; less is not seen as a lean.
pub const LEAN_MARGIN: f32 = 0.005;

/// Below this CIEDE2000 two dabs of paint with others between them look like one colour. (About 1 is just visible edge
/// to edge; a study has no such edges.)
pub const TOLD_APART_CIEDE2000: f64 = 3.0;
