//! Writes a journal while the class runs, on a separate thread.

use std::io;
use std::sync::mpsc::{Receiver, Sender, SyncSender, channel, sync_channel};
use std::sync::{Arc, Condvar, Mutex, OnceLock, PoisonError};
use std::thread;
use std::time::Duration;

use jiff::ZonedDateTime;
use serde::Serialize;

use super::record::{JournalEvent, JournalHeader, JournalRecord, millis};
use super::store::JournalStore;

use crate::Happening;
use crate::TimedHappening;
use class::time::Tick;

/// How long the class waits for a record to be written before it shows what comes next. After that it continues.
const PATIENCE: Duration = Duration::from_millis(40);
/// How long to wait for the last records at the end of a class.
const AT_THE_END: Duration = Duration::from_secs(2);
/// Beats are left out while this many lines or more are still to be written.
const BEHIND: u64 = 1_000;
/// The most records that are kept from before the start of the class.
const EARLY: usize = 50;

/// Class time is recorded at least this often while it runs, in milliseconds of class time. A class that is cut off is
/// then resumed less than a second behind.
pub const BEAT: u64 = 500;

/// Opens the file for the lines when the class starts, and returns the id of the journal with it.
pub type StoreOpener = Box<dyn FnOnce() -> io::Result<(String, Box<dyn JournalStore>)> + Send>;

/// The journal of a class that is being led.
///
/// The file is created when the class starts, so a class that was only looked at leaves no file. Before something is
/// shown, the class waits a moment until its record is written to the file, but never until the file is synced.
pub struct Journal {
    /// The first line, until it is sent.
    header: Option<JournalHeader>,
    /// What happened before the class started.
    early: Vec<JournalRecord>,
    to: Option<Sender<JournalLine>>,
    /// How many lines were sent.
    sent: u64,
    /// The value of `sent` at the last wait.
    awaited: u64,
    /// How many lines were written.
    written: Arc<(Mutex<u64>, Condvar)>,
    id: Arc<OnceLock<String>>,
    /// Whether the disk was slow. Then nobody waits for it until it has caught up.
    slow: bool,
    /// Whether a record that is worth a wait was sent since the last wait.
    matters: bool,
    /// Class time of the last record.
    last: Option<Tick>,
}

struct JournalLine {
    text: Vec<u8>,
    /// Whether it must survive a power cut.
    weighty: bool,
}

impl Journal {
    /// The journal of a class that is about to start. `fails` is called once with the error, if the journal cannot be
    /// written.
    pub fn new(header: JournalHeader, open: StoreOpener, fails: impl FnOnce(&io::Error) + Send + 'static) -> Journal {
        let mut journal = Journal::writing(open, fails);
        journal.header = Some(header);
        journal
    }

    /// The journal of a class that is resumed at `at`. `lost`: the time that was lost.
    /// `fails`: as in [`Journal::new`].
    pub fn resume(
        (id, disk): (String, Box<dyn JournalStore>),
        at: Tick,
        wall: &ZonedDateTime,
        lost: Duration,
        fails: impl FnOnce(&io::Error) + Send + 'static,
    ) -> Journal {
        let mut journal = Journal::writing(Box::new(move || Ok((id, disk))), fails);
        journal.record(&JournalRecord {
            at: at.0,
            wall: wall.timestamp(),
            what: JournalEvent::ResumedAfterBreak { lost_ms: millis(lost) },
        });
        journal
    }

    fn writing(open: StoreOpener, fails: impl FnOnce(&io::Error) + Send + 'static) -> Journal {
        let (to, from) = channel();
        let written: Arc<(Mutex<u64>, Condvar)> = Arc::default();
        let id: Arc<OnceLock<String>> = Arc::default();
        let (count, name) = (Arc::clone(&written), Arc::clone(&id));
        let fail = Arc::new(FailureNotice(Mutex::new(Some(Box::new(fails)))));
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

    /// The id of the journal, after the class has started and the file was created.
    pub fn id(&self) -> Option<&str> {
        self.id.get().map(String::as_str)
    }

    fn record(&mut self, record: &JournalRecord) {
        self.last = Some(Tick(record.at));
        self.matters |= record.what != JournalEvent::Beat;
        self.send(record, record.what.must_be_synced());
    }

    fn send(&mut self, line: &impl Serialize, weighty: bool) {
        let (Some(to), Ok(mut text)) = (&self.to, serde_json::to_vec(line)) else { return };
        text.push(b'\n');
        if to.send(JournalLine { text, weighty }).is_ok() {
            self.sent += 1;
        } else {
            self.to = None;
        }
    }

    /// Waits until everything sent is written, unless the disk has been slow.
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

    fn lines_unwritten(&self) -> u64 {
        self.sent.saturating_sub(*self.written.0.lock().unwrap_or_else(PoisonError::into_inner))
    }
}

impl Journal {
    /// Records what happened at this time of day, before anybody is told.
    pub fn keep(&mut self, told: &TimedHappening, wall: &ZonedDateTime) {
        let Some(what) = JournalEvent::of(told) else { return };
        let record = JournalRecord { at: told.at.0, wall: wall.timestamp(), what };
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

    /// Called before the happenings of a step are shown. `now`: class time. `runs`: whether class time runs. Returns how
    /// much class time later it has to be called again; None if nothing is due by itself.
    pub fn stepped(&mut self, now: Tick, runs: bool, wall: &ZonedDateTime) -> Option<Tick> {
        let since = |last: Tick| now.saturating_sub(last).0;
        if runs && self.last.is_some_and(|last| since(last) >= BEAT) && self.lines_unwritten() < BEHIND {
            self.record(&JournalRecord { at: now.0, wall: wall.timestamp(), what: JournalEvent::Beat });
        }
        if std::mem::take(&mut self.matters) {
            self.wait(PATIENCE);
        }
        self.last.filter(|_| runs).map(|last| Tick(BEAT.saturating_sub(since(last)).max(1)))
    }
}

impl Drop for Journal {
    fn drop(&mut self) {
        self.slow = false;
        self.wait(AT_THE_END);
    }
}

/// Reports once that the journal cannot be written.
struct FailureNotice(Mutex<Option<FailureCallback>>);

type FailureCallback = Box<dyn FnOnce(&io::Error) + Send>;

impl FailureNotice {
    fn notify(&self, error: &io::Error) {
        let fails = self.0.lock().unwrap_or_else(PoisonError::into_inner).take();
        if let Some(fails) = fails {
            fails(error);
        }
    }
}

/// Writes lines until the sender is dropped. Lines that the disk refuses are tried again together with the next ones.
///
/// Another thread syncs the file, because a slow sync must not delay the next line. A line that is written but not
/// synced survives a crash of the program, but not a power cut.
fn write(
    open: StoreOpener,
    from: &Receiver<JournalLine>,
    id: &OnceLock<String>,
    written: &(Mutex<u64>, Condvar),
    fail: Arc<FailureNotice>,
) {
    let count = |lines: u64| {
        *written.0.lock().unwrap_or_else(PoisonError::into_inner) += lines;
        written.1.notify_all();
    };
    let mut open = Some(open);
    let mut disk: Option<(Box<dyn JournalStore>, SyncThread)> = None;
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
                let syncing = SyncThread::of(opened.as_ref(), &fail);
                disk = Some((opened, syncing));
            }
            Some(Err(error)) => fail.notify(&error),
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
            Err(error) => fail.notify(&error),
        }
        // The lines count as written even if they are not synced or the disk is full, so that nobody waits for that.
        count(lines);
    }
}

/// The thread that syncs what was written. Dropping this waits for the thread.
struct SyncThread {
    ask: Option<SyncSender<()>>,
    thread: Option<thread::JoinHandle<()>>,
}

impl SyncThread {
    fn of(disk: &dyn JournalStore, fail: &Arc<FailureNotice>) -> SyncThread {
        // One waiting request is enough: when it starts, it syncs everything written until then.
        let (ask, asked) = sync_channel(1);
        let fail = Arc::clone(fail);
        let mut twin = match disk.try_clone() {
            Ok(twin) => twin,
            Err(error) => {
                fail.notify(&error);
                return SyncThread { ask: None, thread: None };
            }
        };
        let sync = move || {
            while asked.recv().is_ok() {
                if let Err(error) = twin.sync() {
                    fail.notify(&error);
                }
            }
        };
        let thread = thread::Builder::new().name("journal disk".to_owned()).spawn(sync).ok();
        SyncThread { ask: thread.is_some().then_some(ask), thread }
    }

    fn ask(&self) {
        if let Some(ask) = &self.ask {
            // If a request is already waiting, no second one is needed.
            let _ = ask.try_send(());
        }
    }
}

impl Drop for SyncThread {
    fn drop(&mut self) {
        self.ask = None;
        if let Some(thread) = self.thread.take() {
            // The thread has already reported its errors.
            let _ = thread.join();
        }
    }
}
