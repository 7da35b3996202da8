//! What pointer and modifier keys do, free of any window system. Places (`at`) are window pixels: physical, from the top left.

/// What was pressed, of a mouse or of a pen.
#[derive(Clone, Copy, PartialEq, Eq, Debug)]
pub enum Button {
    /// Left button, or the tip of a pen.
    Paint,
    /// The other end of a pen.
    Eraser,
    /// Middle button.
    Middle,
    /// Right button, or the button of a pen.
    Right,
}

/// Modifier keys that matter to the pointer.
#[derive(Clone, Copy, PartialEq, Eq, Debug, Default)]
pub struct PointerModifiers {
    /// Shift.
    pub shift: bool,
    /// Control, or command.
    pub ctrl: bool,
}

/// What a device tells beside its place.
#[derive(Clone, Copy, PartialEq, Debug, Default)]
pub struct Reading {
    /// Pressure, 0-1; none for a device that has no pressure.
    pub pressure: Option<f32>,
    /// Lean towards the right and towards the hand, each -90 to 90 degrees.
    pub tilt_degrees: Option<[f32; 2]>,
    /// Turn about the pen's own axis, clockwise, 0 to 359 degrees.
    pub twist_degrees: Option<f32>,
    /// When, milliseconds since some moment before; none where nobody knows.
    pub time_ms: Option<f64>,
    /// Whether a pen tells it.
    pub pen: bool,
}

impl Reading {
    /// A pressure alone.
    pub fn pressed(pressure: f32) -> Self {
        Reading { pressure: Some(pressure), ..Reading::default() }
    }
}

/// One event of the pointer, a finger, a trackpad or the modifier keys.
#[derive(Clone, Copy, PartialEq, Debug)]
pub enum Input {
    /// The pointer moved.
    Moved {
        /// Its new place.
        at: [f64; 2],
        /// What the device tells beside it.
        reading: Reading,
    },
    /// A button went down.
    Pressed {
        /// The pointer's place.
        at: [f64; 2],
        /// Which button.
        button: Button,
        /// What the device tells beside it.
        reading: Reading,
        /// Whether it is the second press of a double click.
        double: bool,
    },
    /// A button went up.
    Released {
        /// The pointer's place.
        at: [f64; 2],
        /// Which button.
        button: Button,
    },
    /// The pointer left the window: no ring is drawn.
    PointerLeft,
    /// A finger touched, moved or lifted.
    Finger {
        /// Which finger.
        id: u64,
        /// Where; none once it lifted.
        at: Option<[f64; 2]>,
        /// What the device tells beside it.
        reading: Reading,
    },
    /// The system took a touch away, for a gesture of its own or a palm. Nothing for a finger that has lifted.
    FingerCancelled {
        /// Which finger.
        id: u64,
    },
    /// Zooms by a factor.
    Zoom {
        /// What stays where it is.
        at: [f64; 2],
        /// Above 1 is closer.
        factor: f64,
    },
    /// Moves the canvas: two fingers on a trackpad.
    Pan {
        /// Where the pointer is.
        at: [f64; 2],
        /// How far, window pixels.
        by: [f64; 2],
    },
    /// Turns the canvas.
    Turn {
        /// What stays where it is.
        at: [f64; 2],
        /// Angle, clockwise.
        radians: f64,
    },
    /// The modifier keys that are down changed to these.
    Modifiers(PointerModifiers),
    /// The window lost the keyboard. Releases go elsewhere from now on, so every key counts as up.
    FocusLost,
}
