//! The study file: SQLite, one transaction a stroke.
