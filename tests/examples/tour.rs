//! Takes the pictures of the README's tour from the running program. Usage: `tour FOLDER`; `assets/tour/make.sh` calls it.

#[cfg(not(target_os = "linux"))]
fn main() {
    eprintln!("the tour is taken under a virtual X display, which needs Linux");
    std::process::exit(1);
}

#[cfg(target_os = "linux")]
fn main() {
    linux::take();
}

#[cfg(target_os = "linux")]
mod linux {
    use image::codecs::png::{CompressionType, FilterType, PngEncoder};
    use image::{ExtendedColorType, ImageEncoder};
    use std::path::{Path, PathBuf};
    use stint_tests::display::{Display, Window};
    use stint_tests::program::Desk;

    /// The window's own size, which the places below are for.
    const SIZE: (u32, u32) = (1280, 800);
    /// Largest file of a picture, bytes: the README is to open quickly.
    const LARGEST: usize = 400_000;
    /// Home folder that the start page shows.
    const HOME: &str = "/home/kim";

    /// Takes all pictures.
    pub fn take() {
        let folder = std::env::args_os().nth(1).map(PathBuf::from).expect("usage: tour FOLDER");
        let (desk, display) = (Desk::new(), Display::start(SIZE.0, SIZE.1));
        let studies = desk.path("Studies");
        std::fs::create_dir(&studies).expect("the temporary folder can be written");
        desk.stint(["demo", "--out", "demo", "--engine", "cpu"]).well();
        // Two, so that the list of recent studies is one.
        for name in ["Depot, second try.stint", "Tram depot.stint"] {
            std::fs::copy(desk.path("demo/tram_depot.stint"), studies.join(name)).expect("the demo made a study");
        }
        let open = |arguments: &[&str]| {
            let mut command = desk.command(arguments);
            command.current_dir(&studies).env("HOME", HOME);
            display.open(command)
        };
        let keep = |window: &Window<'_>, name: &str| {
            window.rest();
            let picture = display.picture();
            let mut png = Vec::new();
            let encoder = PngEncoder::new_with_quality(&mut png, CompressionType::Best, FilterType::Adaptive);
            encoder
                .write_image(&picture.rgb, picture.width, picture.height, ExtendedColorType::Rgb8)
                .expect("a picture goes into memory");
            assert!(png.len() < LARGEST, "{name}.png has {} bytes", png.len());
            write(&folder.join(name).with_extension("png"), &png);
        };

        let window = open(&["open", "Depot, second try.stint"]);
        window.keys("ctrl+q");
        window.end().well();

        let window = open(&["open", "Tram depot.stint"]);
        // A swatch of the bricks on the brush, and the brush over the wall.
        window.keys("Right Right Down");
        window.point((700, 190));
        keep(&window, "painting");
        // The same board under a warm light: the review has something to say.
        window.press((932, 691));
        window.press((384, 404));
        window.point((1150, 500));
        keep(&window, "board");
        window.keys("Escape ctrl+z");
        window.press((1083, 719));
        window.point((1150, 500));
        keep(&window, "free");
        window.keys("Escape");
        window.press((1229, 22));
        window.press((640, 369));
        window.keys("ctrl+a");
        window.write("Tram depot.png");
        window.press((829, 502));
        stint_tests::display::wait_for("the picture", || studies.join("Tram depot.png").is_file());
        window.point((1150, 500));
        keep(&window, "export");
        window.keys("ctrl+q");
        window.keys("Escape ctrl+q");
        window.end().well();

        let window = open(&[]);
        keep(&window, "start");
        window.keys("ctrl+q");
        window.end().well();
    }

    fn write(path: &Path, bytes: &[u8]) {
        std::fs::write(path, bytes).unwrap_or_else(|e| panic!("{} cannot be written ({e})", path.display()));
        println!("{}, {} bytes", path.display(), bytes.len());
    }
}
