//! Choosing a photo through the desktop portal: with a portal that answers, with one that hangs, and on a bus that has none.
//!
//! The portal is a stand-in on a bus of its own; its interface is that of the XDG Desktop Portal documentation
//! (`org.freedesktop.portal.FileChooser` and `org.freedesktop.portal.Request`).
//!
//! Needs what every window needs, and dbus-daemon.

use std::collections::HashMap;
use std::io::{BufRead, BufReader};
use std::path::Path;
use std::process::{Child, Command, Stdio};
use std::sync::{Arc, Mutex};
use stint::ui::wording;
use stint_model::study::file::StudyFile;
use stint_tests::display::{Display, NEEDS, wait_for};
use stint_tests::program::{TestFolder, lacks};
use zbus::message::Header;
use zbus::zvariant::{OwnedObjectPath, OwnedValue, Value};

const NAME: &str = "org.freedesktop.portal.Desktop";
const PATH: &str = "/org/freedesktop/portal/desktop";

/// A bus without any service that could be started; gone when dropped.
struct Bus {
    daemon: Child,
    address: String,
    _folder: tempfile::TempDir,
}

impl Bus {
    fn start() -> Self {
        let folder = tempfile::tempdir().unwrap();
        let config = folder.path().join("bus.conf");
        let listen = format!("unix:path={}", folder.path().join("bus").display());
        std::fs::write(
            &config,
            format!(
                "<busconfig><type>session</type><listen>{listen}</listen><policy context=\"default\">\
                 <allow send_destination=\"*\"/><allow receive_sender=\"*\"/><allow own=\"*\"/></policy></busconfig>"
            ),
        )
        .unwrap();
        let mut daemon = Command::new("dbus-daemon")
            .arg(format!("--config-file={}", config.display()))
            .args(["--nofork", "--print-address=1"])
            .stdout(Stdio::piped())
            .spawn()
            .unwrap_or_else(|e| panic!("dbus-daemon cannot be started ({e}); on Debian: apt install dbus-daemon"));
        let mut address = String::new();
        BufReader::new(daemon.stdout.take().unwrap()).read_line(&mut address).unwrap();
        Bus { daemon, address: address.trim().to_owned(), _folder: folder }
    }
}

impl Drop for Bus {
    fn drop(&mut self) {
        let _ = self.daemon.kill();
        let _ = self.daemon.wait();
    }
}

/// What the stand-in was asked.
#[derive(Clone, Debug, Default)]
struct Asked {
    window: String,
    title: String,
    folder: Vec<u8>,
    kinds: Vec<(String, Vec<(u32, String)>)>,
}

struct Portal {
    /// What it says was chosen; without it, it never takes a question.
    chosen: Option<String>,
    asked: Arc<Mutex<Vec<Asked>>>,
}

#[zbus::interface(name = "org.freedesktop.portal.FileChooser")]
impl Portal {
    async fn open_file(
        &self,
        window: String,
        title: String,
        options: HashMap<String, OwnedValue>,
        #[zbus(header)] header: Header<'_>,
        #[zbus(connection)] connection: &zbus::Connection,
    ) -> OwnedObjectPath {
        let folder = Vec::<u8>::try_from(options["current_folder"].clone()).unwrap();
        let kinds = Vec::try_from(options["filters"].clone()).unwrap();
        self.asked.lock().unwrap().push(Asked { window, title, folder, kinds });
        let Some(uri) = self.chosen.clone() else { return std::future::pending().await };
        let sender = header.sender().unwrap().trim_start_matches(':').replace('.', "_");
        let token = String::try_from(options["handle_token"].clone()).unwrap();
        let handle = OwnedObjectPath::try_from(format!("{PATH}/request/{sender}/{token}")).unwrap();
        let (to, from, path) = (header.sender().unwrap().to_owned(), connection.clone(), handle.clone());
        let answer = async move {
            // After the question was taken, as a person takes a moment.
            async_io::Timer::after(std::time::Duration::from_millis(300)).await;
            let results = HashMap::from([("uris", Value::from(vec![uri]))]);
            let signal = "org.freedesktop.portal.Request";
            from.emit_signal(Some(to), path, signal, "Response", &(0u32, results)).await.unwrap();
        };
        connection.executor().spawn(answer, "answer").detach();
        handle
    }
}

fn portal(bus: &Bus, chosen: Option<String>) -> (zbus::Connection, Arc<Mutex<Vec<Asked>>>) {
    let asked = Arc::new(Mutex::new(Vec::new()));
    let portal = Portal { chosen, asked: asked.clone() };
    let connection = async_io::block_on(async {
        let builder = zbus::connection::Builder::address(bus.address.as_str()).unwrap();
        builder.name(NAME).unwrap().serve_at(PATH, portal).unwrap().build().await.unwrap()
    });
    (connection, asked)
}

/// A home folder with a photo whose name has a space.
fn home() -> TestFolder {
    let home = TestFolder::new();
    std::fs::create_dir(home.path("Pictures")).unwrap();
    let photo = Path::new(concat!(env!("CARGO_MANIFEST_DIR"), "/../assets/demo/tram_depot.jpg"));
    std::fs::copy(photo, home.path("Pictures/tram depot.jpg")).unwrap();
    home
}

fn command(home: &TestFolder, bus: &Bus) -> Command {
    let mut command = home.command(&[] as &[&str]);
    command
        .env("HOME", home.path(""))
        .env("XDG_CONFIG_HOME", home.path("config"))
        .env("XDG_DATA_HOME", home.path("data"))
        .env("DBUS_SESSION_BUS_ADDRESS", &bus.address);
    command
}

#[test]
fn what_the_portal_gives_starts_a_study() {
    if lacks(&NEEDS) || lacks(&["dbus-daemon"]) {
        return;
    }
    let (home, bus, display) = (home(), Bus::start(), Display::start(1280, 800));
    let photo = home.path("Pictures/tram depot.jpg");
    let uri = format!("file://{}", photo.display().to_string().replace(' ', "%20"));
    let (_portal, asked) = portal(&bus, Some(uri));
    let window = display.open(command(&home, &bus));
    wait_for("the start page", || window.shows(wording::CHOOSE_A_PHOTO));
    window.press_control(wording::CHOOSE_A_PHOTO);
    wait_for("the proposal", || window.shows(&wording::name_of_proposed(1)));
    let study = StudyFile::open_read_only(&home.path("Pictures/tram depot.stint")).unwrap();
    assert_eq!(study.document().reference.as_ref().unwrap().name, "tram depot.jpg");
    let asked = asked.lock().unwrap();
    assert_eq!((asked.len(), asked[0].title.as_str()), (1, wording::CHOOSE_PHOTO));
    // The dialog belongs to the window, begins among the pictures, and shows photos.
    assert_eq!(asked[0].window, format!("x11:{:x}", window.number()));
    assert_eq!(asked[0].folder, [home.path("Pictures").as_os_str().as_encoded_bytes(), b"\0"].concat());
    assert!(asked[0].kinds[0].1.contains(&(0, "*.[jJ][pP][gG]".to_owned())), "{:?}", asked[0].kinds);
    window.keys("ctrl+q");
    window.end().success();
}

#[test]
fn without_an_answer_and_without_a_portal_the_photo_is_chosen_inside_the_window() {
    if lacks(&NEEDS) || lacks(&["dbus-daemon"]) {
        return;
    }
    for hangs in [true, false] {
        let (home, bus, display) = (home(), Bus::start(), Display::start(1280, 800));
        let stand_in = hangs.then(|| portal(&bus, None));
        let window = display.open(command(&home, &bus));
        wait_for("the start page", || window.shows(wording::CHOOSE_A_PHOTO));
        window.press_control(wording::CHOOSE_A_PHOTO);
        wait_for("the photo among the pictures", || window.shows("tram depot.jpg"));
        if let Some((_, asked)) = &stand_in {
            assert_eq!(asked.lock().unwrap().len(), 1, "it was asked before");
        }
        window.rest();
        window.press_twice(window.control("tram depot.jpg").at(0.5, 0.5));
        wait_for("the proposal", || window.shows(&wording::name_of_proposed(1)));
        window.keys("ctrl+q");
        window.end().success();
    }
}
