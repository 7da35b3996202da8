//! Stint at home on a desktop, in the eyes of programs that are not ours: desktop-file-validate (Desktop Entry Specification),
//! appstreamcli (AppStream), the shared MIME database, man, the shells, and dpkg and lintian for the package.
#![cfg(target_os = "linux")]
#![allow(clippy::unwrap_used)]

use std::path::Path;
use std::process::{Command, Output};
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
    let made = run("sh", &[script, folder.path("out").to_str().unwrap(), program().to_str().unwrap()]);
    assert!(made.status.success(), "{}", text(&made));
    let package = String::from_utf8(made.stdout).unwrap().trim().to_owned();
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

    // Unpacked, it runs; stripped, its texts name no folder of whoever built it where the script builds it.
    let root = folder.path("root");
    silent("dpkg-deb", &["--extract", package.to_str().unwrap(), root.to_str().unwrap()]);
    let installed = root.join("usr/bin/stint");
    assert!(run(installed.to_str().unwrap(), &["--version"]).status.success());
    assert!(installed.metadata().unwrap().len() < program().metadata().unwrap().len());

    let lintian = run("lintian", &["--fail-on", "error", "--allow-root", package.to_str().unwrap()]);
    assert!(lintian.status.success(), "{}", text(&lintian));
}
