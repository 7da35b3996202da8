//! An X server of its own with a pen that has no hardware: Xorg's "dummy" screen and its "inputtest" driver, which takes events
//! from a socket (`xf86-input-inputtest-protocol.h` of the X server, version 1.1: little-endian records, each with its length
//! and its kind first).

use std::fs::File;
use std::io::{BufRead, BufReader, Read, Write};
use std::os::unix::net::UnixStream;
use std::path::Path;
use std::process::{Child, Command, Stdio};
use stint_tests::display::{Place, wait_for};
use x11rb::protocol::xinput::{ConnectionExt as _, XIChangePropertyAux};
use x11rb::protocol::xproto::{AtomEnum, ConnectionExt as _, PropMode};
use x11rb::rust_connection::RustConnection;

/// Where Xorg itself lies on one system or another; what stands in the search path may be a wrapper that asks for a console.
const XORG_PLACES: [&str; 3] = ["/usr/lib/xorg/Xorg", "/usr/libexec/Xorg", "/usr/lib/Xorg"];
/// Size of the screen, pixels, as the configuration says.
const SCREEN: (f64, f64) = (1280.0, 800.0);
/// Largest value of the pen's pressure, as the driver has it.
const MOST_PRESSURE: f64 = 1000.0;
/// Values a record has room for.
const VALUES: usize = 64;
/// Kinds of records.
const VERSION: u32 = 0;
const SYNC: u32 = 1;
const MOTION: u32 = 2;
const NEAR: u32 = 3;
const BUTTON: u32 = 4;
/// Place of the pressure among the values.
const PRESSURE: usize = 4;

/// A running server; gone when dropped.
pub struct Server {
    server: Child,
    name: String,
    folder: tempfile::TempDir,
}

impl Server {
    /// Starts one. None where this user may not start an X server.
    ///
    /// # Panics
    /// When there is no Xorg, with advice.
    pub fn start() -> Option<Self> {
        let advice = "on Debian: apt install xserver-xorg-core xserver-xorg-video-dummy";
        let xorg = XORG_PLACES.iter().find(|place| Path::new(place).is_file());
        let xorg = xorg.unwrap_or_else(|| panic!("there is no Xorg; {advice}"));
        let folder = tempfile::tempdir().unwrap();
        let config = include_str!("xorg.conf").replace("@SOCKETS@", folder.path().to_str().unwrap());
        std::fs::write(folder.path().join("xorg.conf"), config).unwrap();
        let said = File::create(folder.path().join("said")).unwrap();
        let mut server = Command::new(xorg);
        server.args(["-displayfd", "1", "-config"]).arg(folder.path().join("xorg.conf"));
        server.arg("-logfile").arg(folder.path().join("log"));
        server.args(["-noreset", "-nolisten", "tcp", "-novtswitch", "-sharevts", "-ac"]);
        let server = server.stdin(Stdio::null()).stdout(Stdio::piped()).stderr(said).spawn();
        let mut server = server.unwrap_or_else(|e| panic!("Xorg cannot be started ({e}); {advice}"));
        let mut number = String::new();
        BufReader::new(server.stdout.take().unwrap()).read_line(&mut number).unwrap();
        let server = Server { server, name: format!(":{}", number.trim()), folder };
        (!number.trim().is_empty()).then_some(server)
    }

    /// What `DISPLAY` is set to for it.
    pub fn name(&self) -> &str {
        &self.name
    }

    /// Takes a device away in the middle of whatever it does, as pulling its cable does: for the server it is disabled then.
    pub fn unplug(&self, name: &str) {
        let (connection, _) = RustConnection::connect(Some(&self.name)).unwrap();
        let devices = connection.xinput_xi_query_device(0_u16).unwrap().reply().unwrap().infos;
        let device = devices.iter().find(|d| d.name == name.as_bytes()).unwrap().deviceid;
        let enabled = connection.intern_atom(false, b"Device Enabled").unwrap().reply().unwrap().atom;
        let (integer, no) = (AtomEnum::INTEGER.into(), XIChangePropertyAux::Data8(vec![0]));
        let change = connection.xinput_xi_change_property(device, PropMode::REPLACE, enabled, integer, 1, &no);
        change.unwrap().check().unwrap();
    }

    /// A pointing device of the configuration: "pen", "eraser" or "mouse". The driver never notices that one is let go, so
    /// each is to be held for as long as the server.
    pub fn device(&self, name: &str) -> Device {
        let socket = self.folder.path().join(name);
        wait_for("a device", || socket.exists());
        let mut device = Device { socket: UnixStream::connect(socket).unwrap() };
        device.record(VERSION, &[1_u16.to_le_bytes(), 1_u16.to_le_bytes()].concat());
        device.answer(12);
        device
    }
}

impl Drop for Server {
    fn drop(&mut self) {
        // A server that is gone already is no trouble.
        let _ = self.server.kill();
        let _ = self.server.wait();
    }
}

/// A pointing device.
pub struct Device {
    socket: UnixStream,
}

impl Device {
    /// Brings a pen near the screen, as its proximity sensor tells.
    pub fn enter_proximity(&mut self, at: Place) {
        self.event(NEAR, &[1, 0], &values(at, Some(0.0)));
    }

    /// Moves it, with a pressure of 0 to 1 if it has any.
    pub fn move_to(&mut self, at: Place, pressure: Option<f64>) {
        self.event(MOTION, &[1, 0], &values(at, pressure));
    }

    /// Puts the tip down, or the first button.
    pub fn press(&mut self) {
        self.event(BUTTON, &[1, 1, 1, 0], &[None; VALUES]);
    }

    /// Lifts it.
    pub fn release(&mut self) {
        self.event(BUTTON, &[1, 1, 0, 0], &[None; VALUES]);
    }

    fn event(&mut self, kind: u32, head: &[u32], values: &[Option<f64>; VALUES]) {
        let mut told = [0_u8; 8];
        for (i, _) in values.iter().enumerate().filter(|(_, v)| v.is_some()) {
            told[i / 8] |= 1 << (i % 8);
        }
        let mut record: Vec<u8> = head.iter().flat_map(|n| n.to_le_bytes()).collect();
        record.extend(0_u32.to_le_bytes());
        record.extend(told);
        record.extend([0; 4]);
        record.extend(values.iter().flat_map(|v| v.unwrap_or(0.0).to_le_bytes()));
        // The same again without acceleration, which nothing here has.
        record.extend([0; 8 * VALUES]);
        self.record(kind, &record);
        // The server has taken in everything before it answers this.
        self.record(SYNC, &[]);
        self.answer(8);
    }

    fn record(&mut self, kind: u32, body: &[u8]) {
        let head = [(8 + body.len() as u32).to_le_bytes(), kind.to_le_bytes()].concat();
        self.socket.write_all(&[&head, body].concat()).unwrap();
    }

    fn answer(&mut self, bytes: usize) {
        self.socket.read_exact(&mut vec![0; bytes]).unwrap();
    }
}

fn values((x, y): Place, pressure: Option<f64>) -> [Option<f64>; VALUES] {
    let mut values = [None; VALUES];
    // The server maps device units to pixels as unit * pixels / 65536.
    values[0] = Some(f64::from(x) * 65_536.0 / SCREEN.0);
    values[1] = Some(f64::from(y) * 65_536.0 / SCREEN.1);
    values[PRESSURE] = pressure.map(|p| p * MOST_PRESSURE);
    values
}
