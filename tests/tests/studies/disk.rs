//! Disks that are full or cannot be written: what was kept stays kept, and nothing is left half-written.

use stint_tests::program::skipped;
use stint_tests::scripts::{SIZE, desk_with_study, kept, loaded, strokes, strokes_in};

#[test]
fn a_limit_on_file_size_loses_nothing_that_was_kept() {
    let desk = desk_with_study();
    desk.script("long.ron", SIZE, [loaded(), strokes(400)].concat());
    desk.take("photos/coffee.jpg");
    // In units of 512 bytes (POSIX); the signal ignored, so that writing fails instead (EFBIG).
    let limited =
        |blocks: u32, rest: &str| desk.shell(&format!("trap '' XFSZ; ulimit -f {blocks}; exec $STINT {rest}"));
    let said = limited(600, "play long.ron --out long.stint --engine cpu");
    let kept = kept(&said);
    said.refused(&["long.ron", "long.stint", "check the disk", "all strokes before it are kept"]);
    assert!(kept > 0 && kept < 400, "{kept}");
    assert_eq!(strokes_in(&desk.path("long.stint")), kept);
    let files = desk.files();
    limited(4, "export long.stint --out long.png --engine cpu").refused(&["long.png", "was not written", "make room"]);
    limited(4, "play depot.ron --out new.stint --engine cpu").refused(&["new.stint", "check the disk"]);
    limited(100, "open coffee.jpg --out new.stint --engine cpu").refused(&["new.stint", "check the disk"]);
    limited(1, "board from coffee.jpg --out new.board.ron").refused(&["new.board.ron", "make room"]);
    limited(500, "demo --out demo --engine cpu").refused(&["tram_depot.jpg", "cannot be made"]);
    let left = std::fs::read_dir(desk.path("demo")).unwrap().map(|e| e.unwrap().file_name());
    assert_eq!(left.collect::<Vec<_>>(), ["tram_depot.ron"], "nothing half-written");
    std::fs::remove_dir_all(desk.path("demo")).unwrap();
    assert_eq!(desk.files(), files, "nothing half-written");
    // An older export outlives a failed one.
    desk.stint(["export", "long.stint", "--out", "long.png", "--engine", "cpu"]).success();
    let before = std::fs::read(desk.path("long.png")).unwrap();
    limited(4, "export long.stint --out long.png --replace --engine cpu").refused(&[
        "long.png",
        "was not written",
        "make room",
    ]);
    assert!(std::fs::read(desk.path("long.png")).unwrap() == before);
}

#[test]
fn a_full_disk_and_a_read_only_one_are_told_apart() {
    let desk = desk_with_study();
    desk.script("long.ron", SIZE, [loaded(), strokes(400)].concat());
    desk.take("photos/coffee.jpg");
    let script = "mount -t tmpfs -o size=400k none m || exit 9
        $STINT play long.ron --out m/long.stint --engine cpu; echo play $?
        $STINT readout m/long.stint --engine cpu | head -1; ls -A m
        cp m/long.stint copy.stint
        head -c 400000 /dev/zero >m/fill 2>/dev/null
        $STINT export m/long.stint --out m/long.png --engine cpu; echo export $?
        $STINT open coffee.jpg --out m/new.stint --engine cpu; echo open $?
        rm m/fill; ls -A m; mount -o remount,ro m
        $STINT readout m/long.stint --engine cpu | head -1
        for what in 'export m/long.stint' 'play long.ron' 'open coffee.jpg' 'board from coffee.jpg'; do
            $STINT $what --out m/new.png >only; echo $what $?; done
        $STINT demo --out m/demo; echo demo $?; ls -A m";
    let Some(said) = desk.shell_with_mounts(script) else {
        return skipped(
            "a full disk and a read-only one: this system lets nobody mount (root or user namespaces needed)",
        );
    };
    println!("{}\n{}", said.out, said.err);
    let kept = kept(&said);
    assert!(kept > 0 && kept < 400, "{kept}");
    assert_eq!(strokes_in(&desk.path("copy.stint")), kept);
    let told: Vec<_> = said.out.lines().filter(|line| !line.starts_with("stroke ")).map(str::trim).collect();
    let all = "100.0 % from the board";
    let failed = ["export m/long.stint 1", "play long.ron 1", "open coffee.jpg 1", "board from coffee.jpg 1", "demo 1"];
    let start = ["play 1", all, "long.stint", "export 1", "open 1", "long.stint", all];
    assert_eq!(told, [&start[..], &failed, &["long.stint"]].concat());
    let errors: Vec<_> = said.err.lines().collect();
    let expected = [
        ("no room left for m/long.stint", "free some space and repeat it"),
        ("m/long.png was not written", "make room"),
        ("no room left for m/new.stint", "free some space"),
        ("m/new.png was not written: Read-only", "choose a place where you may write"),
        ("m/new.png cannot be written", "read-only"),
        ("m/new.png cannot be written", "read-only"),
        ("m/new.png was not written: Read-only", "choose a place where you may write"),
        ("m/demo cannot be made (Read-only", "choose another place"),
    ];
    assert_eq!(errors.len(), expected.len(), "{errors:#?}");
    for (error, (what, advice)) in errors.iter().zip(expected) {
        assert!(error.starts_with("stint: ") && error.contains(what) && error.contains(advice), "{error}: {what}");
    }
}
