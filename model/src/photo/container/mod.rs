//! The structure of photo files, without their pixels: where the parts lie, and the few parts that are read here. All of it
//! is over bytes of any trust: what does not hold gives `None` or an end, never a panic.
//!
//! | file | structure | source |
//! | --- | --- | --- |
//! | `boxes` | HEIC, JPEG XL: boxes | ISO/IEC 14496-12, 4.2 |
//! | `chunks` | PNG: chunks | PNG (third edition), 5.3 |
//! | `riff` | WebP: chunks | RFC 9649, 2.3 |
//! | `segments` | JPEG: marker segments | ITU-T T.81, annex B |
//! | `tags` | TIFF and EXIF: tags | TIFF 6.0, section 2; CIPA DC-008 |
//! | `exif` | the orientation in EXIF | CIPA DC-008, 4.6.5 |

pub(super) mod boxes;
pub(super) mod chunks;
pub(super) mod exif;
pub(super) mod riff;
pub(super) mod segments;
pub(super) mod tags;
