//! What the hand does, free of any window system. Places are window pixels (physical, from the top left).

/// Which part of the pointer is pressed.
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
pub struct Held {
    /// Shift.
    pub shift: bool,
    /// Control, or command.
    pub ctrl: bool,
}

/// One event of the hand.
#[derive(Clone, Copy, PartialEq, Debug)]
pub enum Input {
    /// The pointer moved.
    Moved {
        /// Where to.
        at: [f64; 2],
        /// Pressure, 0-1; 1 where the device has none.
        pressure: f32,
    },
    /// A button went down.
    Pressed {
        /// Where.
        at: [f64; 2],
        /// Which.
        button: Button,
        /// Pressure, 0-1.
        pressure: f32,
        /// Second press within the time of a double click.
        double: bool,
    },
    /// A button went up.
    Released {
        /// Where.
        at: [f64; 2],
        /// Which.
        button: Button,
    },
    /// The pointer left the window.
    Gone,
    /// A finger touched, moved or lifted.
    Finger {
        /// Which finger.
        id: u64,
        /// Where; none once it lifted.
        at: Option<[f64; 2]>,
        /// Pressure, 0-1; 1 where the device has none.
        pressure: f32,
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
        /// Window pixels.
        by: [f64; 2],
    },
    /// Turns the canvas.
    Turn {
        /// What stays where it is.
        at: [f64; 2],
        /// Clockwise.
        radians: f64,
    },
    /// Modifier keys changed.
    Held(Held),
    /// The window lost the keyboard: nothing is held any more.
    FocusLost,
}
