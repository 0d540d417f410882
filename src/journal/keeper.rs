//! Writing a journal while the class runs, on a thread of its own.

use std::io;
use std::sync::mpsc::{Receiver, Sender, SyncSender, channel, sync_channel};
use std::sync::{Arc, Condvar, Mutex, OnceLock, PoisonError};
use std::thread;
use std::time::Duration;

use jiff::ZonedDateTime;
use serde::Serialize;

use super::disk::Disk;
use super::record::{Header, Record, What};

use crate::Happening;
use crate::Told;
use class::time::Tick;

/// The class goes on when the disk has not taken a record in this time. Until then what is shown was written.
const PATIENCE: Duration = Duration::from_millis(40);
/// At the end there is nothing to keep up with any more.
const AT_THE_END: Duration = Duration::from_secs(2);
/// Beats are left out while so many lines are still to be written.
const BEHIND: u64 = 1_000;
/// What is kept of the time before the class has begun.
const EARLY: usize = 50;

/// Class time is written down at least this often while it runs, in milliseconds of it: a class that breaks off is then
/// taken up less than a second behind.
pub const BEAT: u64 = 500;

/// Opens where lines go, when the class begins, and says by what id it is known.
pub type Open = Box<dyn FnOnce() -> io::Result<(String, Box<dyn Disk>)> + Send>;

/// The journal of a class that is led.
///
/// The file is made when the class begins: a class that was only looked at leaves none. Whoever leads waits a moment
/// until what is about to be shown is written; never until the disk has it.
pub struct Journal {
    header: Option<Header>,
    /// What happened before the class began.
    early: Vec<Record>,
    to: Option<Sender<Line>>,
    sent: u64,
    /// What was sent when it was last waited for.
    awaited: u64,
    written: Arc<(Mutex<u64>, Condvar)>,
    id: Arc<OnceLock<String>>,
    /// The disk was slow: nobody waits for it until it has caught up.
    slow: bool,
    /// Something was sent since that is worth a wait.
    matters: bool,
    /// Class time of the last record.
    last: Option<Tick>,
}

struct Line {
    text: Vec<u8>,
    /// It must outlive the machine.
    weighty: bool,
}

impl Journal {
    /// The journal of a class that is to begin. `fails` is told once, in one line, when it cannot be kept.
    pub fn new(header: Header, open: Open, fails: impl FnOnce(String) + Send + 'static) -> Journal {
        let mut journal = Journal::writing(open, fails);
        journal.header = Some(header);
        journal
    }

    /// The journal of a class that is taken up again at `at`, having lost so much time.
    pub fn take_up(
        (id, disk): (String, Box<dyn Disk>),
        at: Tick,
        wall: &ZonedDateTime,
        lost_ms: u64,
        fails: impl FnOnce(String) + Send + 'static,
    ) -> Journal {
        let mut journal = Journal::writing(Box::new(move || Ok((id, disk))), fails);
        journal.record(&Record { at: at.0, wall: wall.timestamp(), what: What::TakenUp { lost_ms } });
        journal
    }

    fn writing(open: Open, fails: impl FnOnce(String) + Send + 'static) -> Journal {
        let (to, from) = channel();
        let written: Arc<(Mutex<u64>, Condvar)> = Arc::default();
        let id: Arc<OnceLock<String>> = Arc::default();
        let (count, name) = (Arc::clone(&written), Arc::clone(&id));
        let fail = Arc::new(Fail(Mutex::new(Some(Box::new(fails)))));
        let write = move || write(open, &from, &name, &count, fail);
        let begun = thread::Builder::new().name("journal".to_owned()).spawn(write);
        Journal {
            header: None,
            early: Vec::new(),
            to: begun.is_ok().then_some(to),
            sent: 0,
            awaited: 0,
            written,
            id,
            slow: false,
            matters: false,
            last: None,
        }
    }

    /// What the journal is known by, once the class has begun and it could be made.
    pub fn id(&self) -> Option<&str> {
        self.id.get().map(String::as_str)
    }

    fn record(&mut self, record: &Record) {
        self.last = Some(Tick(record.at));
        self.matters |= record.what != What::Beat;
        self.send(record, record.what.is_weighty());
    }

    fn send(&mut self, line: &impl Serialize, weighty: bool) {
        let (Some(to), Ok(mut text)) = (&self.to, serde_json::to_vec(line)) else { return };
        text.push(b'\n');
        if to.send(Line { text, weighty }).is_ok() {
            self.sent += 1;
        } else {
            self.to = None;
        }
    }

    /// Waits until all that was sent is written, unless the disk has been slow.
    fn wait(&mut self, patience: Duration) {
        let before = std::mem::replace(&mut self.awaited, self.sent);
        if self.to.is_none() {
            return;
        }
        let (written, changed) = &*self.written;
        let count = written.lock().unwrap_or_else(PoisonError::into_inner);
        if self.slow && *count < before {
            return;
        }
        let sent = self.sent;
        let waited = changed.wait_timeout_while(count, patience, |count| *count < sent);
        self.slow = waited.unwrap_or_else(PoisonError::into_inner).1.timed_out();
    }

    fn behind(&self) -> u64 {
        self.sent.saturating_sub(*self.written.0.lock().unwrap_or_else(PoisonError::into_inner))
    }
}

impl Journal {
    /// Takes what happened at this time on the wall, before anybody is told.
    pub fn keep(&mut self, told: &Told, wall: &ZonedDateTime) {
        let Some(what) = What::of(told) else { return };
        let record = Record { at: told.at.0, wall: wall.timestamp(), what };
        if let Some(header) = &mut self.header {
            let begins = matches!(told.what, Happening::CountIn { .. } | Happening::Span(_) | Happening::Gate);
            if !begins {
                if self.early.len() < EARLY {
                    self.early.push(record);
                }
                return;
            }
            header.wall = wall.clone();
        }
        if let Some(header) = self.header.take() {
            self.send(&header, true);
            std::mem::take(&mut self.early).iter().for_each(|early| self.record(early));
        }
        self.record(&record);
    }

    /// What happened in this step is about to be shown; class time stands at `now`, and runs or does not. Gives back in how
    /// many milliseconds of class time it wants to be asked again; None where nothing is due by itself.
    pub fn stepped(&mut self, now: Tick, runs: bool, wall: &ZonedDateTime) -> Option<u64> {
        let since = |last: Tick| now.less(last).0;
        if runs && self.last.is_some_and(|last| since(last) >= BEAT) && self.behind() < BEHIND {
            self.record(&Record { at: now.0, wall: wall.timestamp(), what: What::Beat });
        }
        if std::mem::take(&mut self.matters) {
            self.wait(PATIENCE);
        }
        self.last.filter(|_| runs).map(|last| BEAT.saturating_sub(since(last)).max(1))
    }
}

impl Drop for Journal {
    fn drop(&mut self) {
        self.slow = false;
        self.wait(AT_THE_END);
    }
}

/// Tells once that the journal cannot be kept.
struct Fail(Mutex<Option<Fails>>);

type Fails = Box<dyn FnOnce(String) + Send>;

impl Fail {
    fn told(&self, error: &io::Error) {
        let fails = self.0.lock().unwrap_or_else(PoisonError::into_inner).take();
        if let Some(fails) = fails {
            fails(error.to_string());
        }
    }
}

/// Writes lines until nobody sends any more. What the disk refuses is tried again with what comes next.
///
/// That it outlives the machine is seen to by another thread: a slow disk must not keep the next line from where it
/// outlives the program.
fn write(open: Open, from: &Receiver<Line>, id: &OnceLock<String>, written: &(Mutex<u64>, Condvar), fail: Arc<Fail>) {
    let count = |lines: u64| {
        *written.0.lock().unwrap_or_else(PoisonError::into_inner) += lines;
        written.1.notify_all();
    };
    let mut open = Some(open);
    let mut disk: Option<(Box<dyn Disk>, Syncing)> = None;
    let mut unwritten: Vec<u8> = Vec::new();
    while let Ok(first) = from.recv() {
        let (mut lines, mut weighty) = (0, false);
        for line in std::iter::once(first).chain(from.try_iter()) {
            lines += 1;
            weighty |= line.weighty;
            unwritten.extend(line.text);
        }
        match open.take().map(|open| open()) {
            Some(Ok((name, opened))) => {
                // This is the only place that sets it.
                let _ = id.set(name);
                let syncing = Syncing::of(opened.as_ref(), &fail);
                disk = Some((opened, syncing));
            }
            Some(Err(error)) => fail.told(&error),
            None => {}
        }
        let Some((disk, syncing)) = &mut disk else {
            unwritten.clear();
            count(lines);
            continue;
        };
        match disk.append(&unwritten) {
            Ok(()) => {
                unwritten.clear();
                if weighty {
                    syncing.ask();
                }
            }
            Err(error) => fail.told(&error),
        }
        // Nobody waits for the disk to have it, nor for one that is full.
        count(lines);
    }
}

/// The thread that has the disk keep what was written. It is waited for when it is dropped.
struct Syncing {
    ask: Option<SyncSender<()>>,
    thread: Option<thread::JoinHandle<()>>,
}

impl Syncing {
    fn of(disk: &dyn Disk, fail: &Arc<Fail>) -> Syncing {
        // One that is asked for while one runs does for all that is written until it begins.
        let (ask, asked) = sync_channel(1);
        let fail = Arc::clone(fail);
        let mut twin = match disk.twin() {
            Ok(twin) => twin,
            Err(error) => {
                fail.told(&error);
                return Syncing { ask: None, thread: None };
            }
        };
        let sync = move || {
            while asked.recv().is_ok() {
                if let Err(error) = twin.sync() {
                    fail.told(&error);
                }
            }
        };
        let thread = thread::Builder::new().name("journal disk".to_owned()).spawn(sync).ok();
        Syncing { ask: thread.is_some().then_some(ask), thread }
    }

    fn ask(&self) {
        if let Some(ask) = &self.ask {
            // Where one is asked for already, that does.
            let _ = ask.try_send(());
        }
    }
}

impl Drop for Syncing {
    fn drop(&mut self) {
        self.ask = None;
        if let Some(thread) = self.thread.take() {
            // What it could not do it has told.
            let _ = thread.join();
        }
    }
}
