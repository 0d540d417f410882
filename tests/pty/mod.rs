//! The real binary in a pseudo-terminal: keys are typed, the screen is read back, and the terminal is restored whatever
//! ends the program.
// Several runners have this module, so it is public in each.
#![allow(unreachable_pub)]
#![allow(dead_code, reason = "each test binary uses its own part")]

use std::io::{Read, Write};
use std::num::NonZero;
use std::path::PathBuf;
use std::sync::{Arc, Mutex};
use std::time::{Duration, Instant};

use portable_pty::{Child, CommandBuilder, MasterPty, PtySize, SlavePty, native_pty_system};
use rustix::process::{Pid, Signal, kill_process};

/// How long to wait for something: long enough on a busy computer.
pub const PATIENCE: Duration = Duration::from_secs(20);

/// A home folder with one session file.
pub struct Home(pub tempfile::TempDir);

impl Home {
    pub fn with(session: &str) -> Home {
        let home = tempfile::tempdir().unwrap();
        std::fs::write(home.path().join("class.ron"), session).unwrap();
        Home(home)
    }

    pub fn file(&self) -> String {
        self.0.path().join("class.ron").display().to_string()
    }

    pub fn environment(&self) -> Vec<(&'static str, String)> {
        let home = self.0.path().display().to_string();
        let path = std::env::var("PATH").unwrap_or_default();
        let rest =
            [("TERM", "xterm-256color"), ("COLORTERM", "truecolor"), ("TZ", "UTC"), ("LANG", "C.UTF-8"), ("PS1", "$ ")];
        let rest = rest.map(|(name, value)| (name, value.to_owned()));
        [("HOME", home), ("PATH", path)].into_iter().chain(rest).collect()
    }
}

pub fn binary() -> PathBuf {
    PathBuf::from(env!("CARGO_BIN_EXE_forecall"))
}

fn cells(count: u16) -> NonZero<u16> {
    NonZero::new(count).unwrap()
}

/// A program in a terminal of its own.
pub struct Term {
    pub master: Box<dyn MasterPty + Send>,
    // Kept open, so that the terminal outlives the program.
    _slave: Box<dyn SlavePty + Send>,
    pub child: Box<dyn Child + Send + Sync>,
    keys: Box<dyn Write + Send>,
    pub seen: Arc<Mutex<vt100::Parser>>,
    modes: String,
}

impl Term {
    pub fn start(home: &Home, program: PathBuf, arguments: &[&str], columns: u16, rows: u16) -> Term {
        let pair =
            native_pty_system().openpty(PtySize { rows, cols: columns, pixel_width: 0, pixel_height: 0 }).unwrap();
        let mut command = CommandBuilder::new(program);
        command.args(arguments);
        command.env_clear();
        for (name, value) in home.environment() {
            command.env(name, value);
        }
        command.cwd(home.0.path());
        let modes = format!("{:?}", pair.master.get_termios());
        let child = pair.slave.spawn_command(command).unwrap();
        let seen = Arc::new(Mutex::new(vt100::Parser::new(cells(rows), cells(columns), 0)));
        let mut reader = pair.master.try_clone_reader().unwrap();
        let to = Arc::clone(&seen);
        std::thread::spawn(move || {
            let mut bytes = [0; 4096];
            while let Ok(count @ 1..) = reader.read(&mut bytes) {
                to.lock().unwrap().process(&bytes[..count]);
            }
        });
        let keys = pair.master.take_writer().unwrap();
        Term { master: pair.master, _slave: pair.slave, child, keys, seen, modes }
    }

    pub fn text(&self) -> String {
        self.seen.lock().unwrap().screen().contents()
    }

    /// Waits until this text is on the screen.
    pub fn see(&self, what: &str) {
        self.until(what, |text| text.contains(what));
    }

    pub fn until(&self, what: &str, seen: impl Fn(&str) -> bool) {
        let begun = Instant::now();
        while !seen(&self.text()) {
            assert!(begun.elapsed() < PATIENCE, "not seen: {what}\n{}", self.text());
            std::thread::sleep(Duration::from_millis(5));
        }
    }

    pub fn press(&mut self, keys: &str) {
        self.keys.write_all(keys.as_bytes()).unwrap();
        self.keys.flush().unwrap();
    }

    pub fn signal(&self, signal: Signal) {
        kill_process(Pid::from_raw(self.child.process_id().unwrap() as i32).unwrap(), signal).unwrap();
    }

    pub fn alternate(&self) -> bool {
        self.seen.lock().unwrap().screen().alternate_screen()
    }

    pub fn resize(&self, columns: u16, rows: u16) {
        self.seen.lock().unwrap().screen_mut().set_size(cells(rows), cells(columns));
        self.master.resize(PtySize { rows, cols: columns, pixel_width: 0, pixel_height: 0 }).unwrap();
    }

    /// Waits for the program to end; returns its exit code. The terminal must be as it was before.
    pub fn ends(&mut self) -> u32 {
        let begun = Instant::now();
        let status = loop {
            if let Some(status) = self.child.try_wait().unwrap() {
                break status;
            }
            assert!(begun.elapsed() < PATIENCE, "the program does not end\n{}", self.text());
            std::thread::sleep(Duration::from_millis(5));
        };
        self.restored();
        status.exit_code()
    }

    pub fn restored(&self) {
        let begun = Instant::now();
        while self.alternate() || self.seen.lock().unwrap().screen().hide_cursor() {
            assert!(begun.elapsed() < PATIENCE, "the alternate screen is not left");
            std::thread::sleep(Duration::from_millis(5));
        }
        assert_eq!(format!("{:?}", self.master.get_termios()), self.modes, "the terminal is still raw");
    }
}

impl Drop for Term {
    fn drop(&mut self) {
        let _ = self.child.kill();
    }
}
