//! Words of the large photo.
