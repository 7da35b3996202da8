//! By what the desktop knows the window: its name, its icon, and the start that it answers.

use image::ImageFormat;
use winit::event_loop::ActiveEventLoop;
use winit::icon::{Icon, RgbaIcon};
use winit::window::WindowAttributes;

/// The name of the desktop entry, `assets/desktop/app.stint.Stint.desktop`, without its ending: a desktop joins window and
/// entry by it (Desktop Entry Specification, "desktop file ID" and `StartupWMClass`).
#[cfg(all(unix, not(target_os = "macos")))]
const DESKTOP_ID: &str = "app.stint.Stint";

/// 64 x 64 px, made of `assets/desktop/app.stint.Stint.svg`.
const ICON_PNG: &[u8] = include_bytes!("../../../../assets/desktop/window_icon.png");

/// Attributes of a window of this program, without a size.
pub(super) fn attributes(event_loop: &dyn ActiveEventLoop) -> WindowAttributes {
    named(WindowAttributes::default().with_title("Stint").with_window_icon(icon()), event_loop)
}

/// Nothing when the icon cannot be used, which is no reason to stay away.
fn icon() -> Option<Icon> {
    let pixels = image::load_from_memory_with_format(ICON_PNG, ImageFormat::Png).ok()?.into_rgba8();
    let (width, height) = pixels.dimensions();
    Some(RgbaIcon::new(pixels.into_raw(), width, height).ok()?.into())
}

#[cfg(all(unix, not(target_os = "macos")))]
fn named(attributes: WindowAttributes, event_loop: &dyn ActiveEventLoop) -> WindowAttributes {
    use winit::platform::startup_notify::EventLoopExtStartupNotify;
    use winit::platform::wayland::{ActiveEventLoopExtWayland, WindowAttributesWayland};
    use winit::platform::x11::WindowAttributesX11;

    let token = event_loop.read_token_from_env();
    attributes.with_platform_attributes(if event_loop.is_wayland() {
        let named = WindowAttributesWayland::default().with_name(DESKTOP_ID, "stint");
        Box::new(match token {
            Some(token) => named.with_activation_token(token),
            None => named,
        })
    } else {
        let named = WindowAttributesX11::default().with_name(DESKTOP_ID, "stint");
        Box::new(match token {
            Some(token) => named.with_activation_token(token),
            None => named,
        })
    })
}

/// On a page the window is a canvas of the document.
#[cfg(target_arch = "wasm32")]
fn named(attributes: WindowAttributes, _: &dyn ActiveEventLoop) -> WindowAttributes {
    let canvas = winit::platform::web::WindowAttributesWeb::default().with_append(true);
    attributes.with_platform_attributes(Box::new(canvas))
}

#[cfg(not(any(target_arch = "wasm32", all(unix, not(target_os = "macos")))))]
fn named(attributes: WindowAttributes, _: &dyn ActiveEventLoop) -> WindowAttributes {
    attributes
}

#[cfg(test)]
#[allow(clippy::unwrap_used)]
mod tests {
    use super::*;

    #[test]
    fn the_icon_is_grey_and_can_be_shown() {
        assert!(icon().is_some());
        let pixels = image::load_from_memory_with_format(ICON_PNG, ImageFormat::Png).unwrap().into_rgba8();
        assert_eq!(pixels.dimensions(), (64, 64));
        assert!(pixels.pixels().all(|p| p.0[0] == p.0[1] && p.0[1] == p.0[2]));
    }

    #[cfg(all(unix, not(target_os = "macos")))]
    #[test]
    fn the_desktop_entry_has_the_name_of_the_window() {
        let entry = include_str!("../../../../assets/desktop/app.stint.Stint.desktop");
        assert!(
            entry.contains(&format!("StartupWMClass={DESKTOP_ID}\n"))
                && entry.contains(&format!("Icon={DESKTOP_ID}\n"))
        );
    }
}
