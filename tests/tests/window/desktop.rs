//! Stint at home on a desktop, in the eyes of programs that are not ours: desktop-file-validate (Desktop Entry Specification),
//! appstreamcli (AppStream), the shared MIME database, man, the shells, and dpkg and lintian for the package.

use std::path::Path;
use std::process::{Command, Output, Stdio};
use stint::ui::wording;
use stint_tests::display::{Display, NEEDS};
use stint_tests::program::{TestFolder, lacks, program};

const ID: &str = "app.stint.Stint";

fn asset(ending: &str) -> String {
    format!("{}/../assets/desktop/{ID}.{ending}", env!("CARGO_MANIFEST_DIR"))
}

fn run(program: &str, arguments: &[&str]) -> Output {
    Command::new(program).args(arguments).output().unwrap_or_else(|e| panic!("this test needs {program} ({e})"))
}

fn text(output: &Output) -> String {
    format!("{}{}", String::from_utf8_lossy(&output.stdout), String::from_utf8_lossy(&output.stderr))
}

/// Ran well and said nothing.
fn silent(program: &str, arguments: &[&str]) {
    let output = run(program, arguments);
    assert!(output.status.success() && text(&output).is_empty(), "{program}: {}", text(&output));
}

#[test]
fn the_menu_entry_is_valid() {
    if lacks(&["desktop-file-validate"]) {
        return;
    }
    silent("desktop-file-validate", &[&asset("desktop")]);
}

#[test]
fn the_description_for_software_centres_is_valid() {
    if lacks(&["appstreamcli"]) {
        return;
    }
    let output = run("appstreamcli", &["validate", "--no-net", &asset("metainfo.xml")]);
    assert!(output.status.success(), "{}", text(&output));
    // Tells the same version as the program.
    let metainfo = std::fs::read_to_string(asset("metainfo.xml")).unwrap();
    assert!(metainfo.contains(concat!("<release version=\"", env!("CARGO_PKG_VERSION"), "\"")));
}

#[test]
fn a_study_is_known_by_name_and_by_content() {
    if lacks(&["update-mime-database"]) {
        return;
    }
    let folder = TestFolder::new();
    let packages = folder.path("data/mime/packages");
    std::fs::create_dir_all(&packages).unwrap();
    std::fs::copy(asset("mime.xml"), packages.join("stint.xml")).unwrap();
    // It may say that nobody looks into this folder, which is why it was chosen.
    let updated = run("update-mime-database", &[folder.path("data/mime").to_str().unwrap()]);
    assert!(updated.status.success() && !text(&updated).contains("rror"), "{}", text(&updated));
    let read = |name: &str| std::fs::read_to_string(folder.path("data/mime").join(name)).unwrap();
    let globs = read("globs2");
    assert!(globs.contains(":application/x-stint-study:*.stint\n"), "{globs}");
    assert!(globs.contains(":text/x-stint-board:*.board.ron\n"), "{globs}");
    assert!(read("subclasses").contains("application/x-stint-study application/vnd.sqlite3"));

    // The rule for the content holds for a study that was really written, whatever it is called.
    let script = folder.script("one.ron", (64, 64), vec![]);
    folder.stint(["play", script.to_str().unwrap(), "--out", "one.stint", "--engine", "cpu"]).success();
    let study = std::fs::read(folder.path("one.stint")).unwrap();
    assert_eq!((&study[..16], &study[68..72]), (&b"SQLite format 3\0"[..], &b"STNT"[..]));
    let magic = std::fs::read(folder.path("data/mime/magic")).unwrap();
    let rule = b"application/x-stint-study";
    assert!(magic.windows(rule.len()).any(|window| window == rule));
}

#[test]
fn a_desktop_tells_a_study_from_a_board_and_opens_both() {
    if lacks(&["update-mime-database", "xdg-mime", "desktop-file-validate"]) {
        return;
    }
    let desk = TestFolder::new();
    let data = desk.path("data");
    for (folder, ending) in [("mime/packages", "mime.xml"), ("applications", "desktop")] {
        std::fs::create_dir_all(data.join(folder)).unwrap();
        std::fs::copy(asset(ending), data.join(folder).join(format!("{ID}.{}", ending.trim_start_matches("mime."))))
            .unwrap();
    }
    assert!(run("update-mime-database", &[data.join("mime").to_str().unwrap()]).status.success());
    assert!(run("update-desktop-database", &[data.join("applications").to_str().unwrap()]).status.success());
    let folder = program().parent().unwrap().to_str().unwrap().to_owned();
    let xdg_mime = |arguments: &[&str]| {
        let mut asked = Command::new("xdg-mime");
        asked.arg("query").args(arguments).current_dir(desk.path("")).env("HOME", desk.path(""));
        asked.env("XDG_DATA_HOME", &data).env("XDG_CONFIG_HOME", desk.path("config"));
        // An entry whose program is not found is no entry.
        asked.env("PATH", format!("{folder}:{}", std::env::var("PATH").unwrap()));
        // The desktop whose tools xdg-mime asks.
        asked.env("XDG_CURRENT_DESKTOP", "GNOME");
        text(&asked.output().unwrap()).trim().to_owned()
    };
    desk.study_with_brick("one.stint");
    desk.stint(["board", "export", "one.stint", "-o", "one.board.ron"]).success();
    // By its content, whatever it is called.
    std::fs::copy(desk.path("one.stint"), desk.path("nameless")).unwrap();
    for (file, kind) in [
        ("one.stint", "application/x-stint-study"),
        ("nameless", "application/x-stint-study"),
        ("one.board.ron", "text/x-stint-board"),
    ] {
        assert_eq!(xdg_mime(&["filetype", file]), kind, "{file}");
        assert_eq!(xdg_mime(&["default", kind]), format!("{ID}.desktop"), "{kind}");
    }
}

#[test]
fn the_icon_has_no_colour_at_any_size() {
    if lacks(&["rsvg-convert"]) {
        return;
    }
    let folder = TestFolder::new();
    let drawn = folder.path("icon.png");
    for size in ["16", "48", "256"] {
        silent("rsvg-convert", &["-w", size, "-h", size, &asset("svg"), "-o", drawn.to_str().unwrap()]);
        let icon = image::open(&drawn).unwrap().into_rgba8();
        assert!(icon.pixels().all(|p| p[0] == p[1] && p[1] == p[2]), "{size}");
        assert!(icon.pixels().any(|p| p[3] == 255 && p[0] > 128), "{size}: something shows");
    }
    let window = image::open(concat!(env!("CARGO_MANIFEST_DIR"), "/../assets/desktop/window_icon.png")).unwrap();
    assert!(window.into_rgba8().pixels().all(|p| p[0] == p[1] && p[1] == p[2]));
}

#[test]
fn manual_pages_are_read_by_man_without_a_complaint() {
    if lacks(&["man"]) {
        return;
    }
    let folder = TestFolder::new();
    folder.stint(["manual", "man1"]).success();
    for page in std::fs::read_dir(folder.path("man1")).unwrap() {
        let page = page.unwrap().path();
        let mut man = Command::new("man");
        man.env("MANROFFSEQ", "").env("MANWIDTH", "100").env("LC_ALL", "C.UTF-8");
        let output = man.args(["--warnings", "--local-file"]).arg(&page).output().unwrap();
        let complaints = String::from_utf8_lossy(&output.stderr).into_owned();
        assert!(output.status.success() && complaints.is_empty(), "{}: {complaints}", page.display());
        assert!(String::from_utf8_lossy(&output.stdout).contains("SYNOPSIS"), "{}", page.display());
    }
}

#[test]
fn completions_are_read_by_the_shell() {
    if lacks(&["bash"]) {
        return;
    }
    let folder = TestFolder::new();
    let told = folder.shell(
        r#"bash -c '"$STINT" completions bash > words && . ./words && COMP_WORDS=(stint board rel) COMP_CWORD=2 && _stint stint rel board && echo "${COMPREPLY[@]}"'"#,
    );
    assert_eq!(told.success().trim(), "relight");
}

#[test]
fn a_menu_opens_the_window_and_no_display_is_said_without_a_place_in_a_source() {
    let folder = TestFolder::new();
    // Without a display the command line ends well: there is nobody to tell.
    folder.stint(["open", "--in-window", "nothing.stint"]).success();
    let mut command = folder.command(["open", "--in-window", "nothing.stint"]);
    // A display that nobody serves.
    let output = command.env("DISPLAY", ":97531").output().unwrap();
    let told = text(&output);
    assert!(!output.status.success() && told.contains("no window can be opened"), "{told}");
    assert!(!told.contains(".rs:") && !told.contains('/'), "{told}");
}

#[test]
fn the_package_holds_everything_and_breaks_no_rule_of_debian() {
    if lacks(&["dpkg-shlibdeps", "lintian", "rsvg-convert"]) {
        return;
    }
    let folder = TestFolder::new();
    let script = concat!(env!("CARGO_MANIFEST_DIR"), "/../assets/desktop/package.sh");
    let pack = |program: &Path| {
        let made = run("sh", &[script, folder.path("out").to_str().unwrap(), program.to_str().unwrap()]);
        assert!(made.status.success(), "{}", text(&made));
        let package = String::from_utf8(made.stdout).unwrap().trim().to_owned();
        (package, String::from_utf8(made.stderr).unwrap())
    };
    // Whoever packs a program that names the folders it was built in hears of it; of one that names none nothing is said.
    let (package, told) = pack(&program());
    assert!(told.contains("name folders of this machine"), "{told}");
    let mut bytes = std::fs::read(program()).unwrap();
    let home = std::env::var("CARGO_HOME").unwrap_or_else(|_| format!("{}/.cargo", std::env::var("HOME").unwrap()));
    let checkout = std::path::absolute(concat!(env!("CARGO_MANIFEST_DIR"), "/..")).unwrap().canonicalize().unwrap();
    for name in [format!("{home}/"), format!("{}/", checkout.display())] {
        let name = name.as_bytes();
        let places = bytes.windows(name.len()).enumerate().filter(|(_, part)| *part == name);
        for at in places.map(|(at, _)| at).collect::<Vec<_>>() {
            bytes[at] = b'x';
        }
    }
    let plain = folder.path("plain");
    std::fs::copy(program(), &plain).unwrap();
    std::fs::write(&plain, bytes).unwrap();
    assert_eq!(pack(&plain).1, "");
    let package = Path::new(&package);

    let listed = text(&run("dpkg-deb", &["--contents", package.to_str().unwrap()]));
    for file in [
        "./usr/bin/stint",
        "./usr/share/applications/app.stint.Stint.desktop",
        "./usr/share/icons/hicolor/48x48/apps/app.stint.Stint.png",
        "./usr/share/icons/hicolor/scalable/apps/app.stint.Stint.svg",
        "./usr/share/metainfo/app.stint.Stint.metainfo.xml",
        "./usr/share/mime/packages/app.stint.Stint.xml",
        "./usr/share/man/man1/stint-board-from.1.gz",
        "./usr/share/bash-completion/completions/stint",
        "./usr/share/doc/stint/copyright",
    ] {
        assert!(listed.lines().any(|line| line.ends_with(file)), "{file} is not in\n{listed}");
    }
    let depends = text(&run("dpkg-deb", &["--field", package.to_str().unwrap(), "Depends"]));
    assert!(depends.contains("libc6 (>="), "{depends}");

    // Unpacked, it runs, and it was stripped.
    let root = folder.path("root");
    silent("dpkg-deb", &["--extract", package.to_str().unwrap(), root.to_str().unwrap()]);
    let installed = root.join("usr/bin/stint");
    assert!(run(installed.to_str().unwrap(), &["--version"]).status.success());
    assert!(installed.metadata().unwrap().len() < program().metadata().unwrap().len());

    // And it starts from its menu entry, as a desktop does: the words of Exec, without a file.
    if !lacks(&NEEDS) {
        let entry = std::fs::read_to_string(root.join("usr/share/applications").join(format!("{ID}.desktop"))).unwrap();
        let words = entry.lines().find_map(|line| line.strip_prefix("Exec=")).unwrap();
        let mut words = words.split(' ').filter(|word| !word.starts_with('%'));
        let mut started = Command::new(root.join("usr/bin").join(words.next().unwrap()));
        started.args(words).env("DBUS_SESSION_BUS_ADDRESS", "unix:path=/dev/null");
        started.stdin(Stdio::null()).stdout(Stdio::piped()).stderr(Stdio::piped());
        let display = Display::start(1280, 800);
        let window = display.open(started);
        assert!(window.shows(wording::FROM_PHOTO));
        window.keys("ctrl+q");
        window.end().success();
    }

    let lintian = run("lintian", &["--fail-on", "error", "--allow-root", package.to_str().unwrap()]);
    assert!(lintian.status.success(), "{}", text(&lintian));
}
