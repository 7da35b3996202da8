//! What is known of the colours of the display.

/// What the system tells of them.
#[derive(Clone, PartialEq, Eq, Debug, Default)]
pub enum DisplayColours {
    /// Nothing.
    #[default]
    Untold,
    /// A profile, with its name if it has one.
    Told(Option<String>),
    /// A profile that cannot be used, and what is wrong with it.
    Unusable(String),
    /// The desktop converts the colours of all windows itself.
    ByTheDesktop,
}
