//! The PNG a study leaves as, with its board inside.
