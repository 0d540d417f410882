//! Speech for a class: made ahead of time on a thread of its own, and never waited for.

use std::collections::HashMap;
use std::sync::mpsc::{Receiver, Sender, channel};
use std::sync::{Arc, Condvar, Mutex, MutexGuard, PoisonError};
use std::thread;
use std::time::{Duration, Instant};

use super::{Cache, Pcm, Voice, VoiceFault};
use class::cue::call_words;
use class::schedule::Call;
use class::words::{WORDS, fill};

/// Longer than this a voice may not take for one text.
const PATIENCE: Duration = Duration::from_secs(10);
/// So many texts a voice may fail at, one after the other, before it is asked for a word that any voice says. Where it
/// fails at that too, it is given up.
const FAILURES: usize = 3;
/// So many letters of a text that is refused are shown.
const SHOWN: usize = 40;
/// How often one who waits looks whether the work still goes on.
const LOOK: Duration = Duration::from_millis(200);

/// What makes speech.
pub struct Setup {
    pub voice: Box<dyn Voice>,
    /// Where speech is kept. None: nowhere.
    pub cache: Option<Cache>,
}

/// The speech of a class. Dropping it ends the work at the next text.
pub struct Speech {
    orders: Sender<Vec<String>>,
    store: Arc<Store>,
    news: Receiver<String>,
}

/// How much speech is ready.
#[derive(Clone, Copy, Debug, PartialEq, Eq, Default)]
pub struct Ready {
    /// Texts that can be had now.
    pub done: usize,
    /// Texts that cannot be had at all.
    pub failed: usize,
    /// Texts asked for.
    pub of: usize,
}

/// What both sides reach into.
#[derive(Default)]
struct Store {
    shelf: Mutex<Shelf>,
    /// Rung whenever a text has become something.
    made: Condvar,
}

#[derive(Default)]
struct Shelf {
    clips: HashMap<String, Made>,
    /// How long the clips are that nobody has asked for since they were made.
    lengths: Vec<(String, Duration)>,
}

impl Store {
    fn shelf(&self) -> MutexGuard<'_, Shelf> {
        self.shelf.lock().unwrap_or_else(PoisonError::into_inner)
    }

    fn put(&self, text: String, made: Made) {
        let mut shelf = self.shelf();
        if let Made::Clip(pcm) = &made {
            shelf.lengths.push((text.clone(), pcm.length()));
        }
        shelf.clips.insert(text, made);
        self.made.notify_all();
    }
}

impl Shelf {
    fn ready(&self) -> Ready {
        let mut ready = Ready { of: self.clips.len(), ..Ready::default() };
        for made in self.clips.values() {
            match made {
                Made::NotYet => {}
                Made::Clip(_) => ready.done += 1,
                Made::Nothing => ready.failed += 1,
            }
        }
        ready
    }
}

/// What has become of a text.
enum Made {
    NotYet,
    Clip(Pcm),
    Nothing,
}

impl Speech {
    /// Starts the work with nothing to do yet.
    pub fn start(setup: Setup) -> Speech {
        let (orders, inbox) = channel();
        let (tell, news) = channel();
        let store = Arc::new(Store::default());
        let worker = Worker { setup, store: store.clone(), tell, failures: 0, refused: false, given_up: false };
        // Without a thread nothing is ever ready, and everything is printed.
        let _ = thread::Builder::new().name("voice".into()).spawn(move || worker.run(&inbox));
        Speech { orders, store, news }
    }

    /// Asks for texts, in the order in which they will be needed. Those asked for before are not made again.
    pub fn prepare<S: Into<String>>(&self, texts: impl IntoIterator<Item = S>) {
        let mut shelf = self.store.shelf();
        let mut fresh = Vec::new();
        for text in texts {
            let text = text.into();
            if !shelf.clips.contains_key(&text) {
                shelf.clips.insert(text.clone(), Made::NotYet);
                fresh.push(text);
            }
        }
        let _ = self.orders.send(fresh);
    }

    /// The speech of a text, if it is ready.
    pub fn get(&self, text: &str) -> Option<Pcm> {
        let shelf = self.store.shelf();
        match shelf.clips.get(text) {
            Some(Made::Clip(pcm)) => Some(pcm.clone()),
            _ => None,
        }
    }

    /// How much is ready.
    pub fn ready(&self) -> Ready {
        self.store.shelf().ready()
    }

    /// How long the voice takes for the texts made since this was last asked.
    pub fn lengths(&self) -> Vec<(String, Duration)> {
        std::mem::take(&mut self.store.shelf().lengths)
    }

    /// Waits until every text asked for has become something. For commands that print; no class waits.
    pub fn settle(&self) {
        self.settle_while(|_| true);
    }

    /// The same for as long as `goes_on`, which is told how far the work is and does not take long. False when it was
    /// left before the end.
    pub fn settle_while(&self, mut goes_on: impl FnMut(Ready) -> bool) -> bool {
        let mut shelf = self.store.shelf();
        loop {
            let ready = shelf.ready();
            // Without its thread nothing more is made.
            if ready.done + ready.failed == ready.of || Arc::strong_count(&self.store) == 1 {
                return true;
            }
            if !goes_on(ready) {
                return false;
            }
            let waited = self.store.made.wait_timeout(shelf, LOOK);
            shelf = waited.unwrap_or_else(PoisonError::into_inner).0;
        }
    }

    /// One line for each thing that the coach should know since the last time: a voice that is missing, a text that it
    /// cannot say.
    pub fn reports(&self) -> Vec<String> {
        self.news.try_iter().collect()
    }
}

struct Worker {
    setup: Setup,
    store: Arc<Store>,
    tell: Sender<String>,
    /// Texts it has failed at since the last that it said.
    failures: usize,
    /// The coach has been told of a text that it failed at.
    refused: bool,
    given_up: bool,
}

impl Worker {
    fn run(mut self, inbox: &Receiver<Vec<String>>) {
        let name = self.setup.voice.name();
        let mut cache_fails = false;
        while let Ok(texts) = inbox.recv() {
            for text in texts {
                let kept = self.setup.cache.as_ref().and_then(|cache| cache.get(&name, &text));
                let made = match kept {
                    Some(pcm) => Made::Clip(pcm),
                    None => match self.say(&text) {
                        Some(pcm) => {
                            let kept = self.setup.cache.as_ref().map_or(Ok(()), |cache| cache.put(&name, &text, &pcm));
                            if let Err(error) = kept
                                && !std::mem::replace(&mut cache_fails, true)
                            {
                                let why = error.to_string();
                                self.report(fill(&WORDS.sound.voice.not_kept, &[("why", &why)]));
                            }
                            Made::Clip(pcm)
                        }
                        None => Made::Nothing,
                    },
                };
                // Nobody is left who would hear it.
                if Arc::strong_count(&self.store) == 1 {
                    return;
                }
                self.store.put(text, made);
            }
            // Only tidiness: a folder that cannot be read is no trouble of the class.
            let _ = self.setup.cache.as_ref().map(Cache::trim);
        }
    }

    /// The speech of a text. One that the voice refuses is no failing of the voice as long as it says others.
    fn say(&mut self, text: &str) -> Option<Pcm> {
        if self.given_up {
            return None;
        }
        match self.try_it(text) {
            Ok(pcm) => {
                self.failures = 0;
                return Some(pcm);
            }
            Err(VoiceFault::Silent) => {}
            Err(fault @ VoiceFault::Missing(_)) => self.give_up(&fault),
            Err(fault) => {
                self.failures += 1;
                if !std::mem::replace(&mut self.refused, true) {
                    let start: String = text.chars().take(SHOWN).collect();
                    let shown = if start.len() < text.len() { start + "…" } else { start };
                    self.report_of(&WORDS.sound.voice.refuses, &fault, &shown);
                }
                if self.failures >= FAILURES {
                    match self.try_it(call_words(Call::End)) {
                        Ok(_) => self.failures = 0,
                        Err(_) => self.give_up(&fault),
                    }
                }
            }
        }
        None
    }

    fn try_it(&mut self, text: &str) -> Result<Pcm, VoiceFault> {
        self.setup.voice.say(text, Instant::now() + PATIENCE)
    }

    fn give_up(&mut self, why: &VoiceFault) {
        self.given_up = true;
        self.report_of(&WORDS.sound.voice.given_up, why, "");
    }

    fn report_of(&self, wording: &str, why: &VoiceFault, text: &str) {
        let (voice, why) = (self.setup.voice.name(), why.to_string());
        self.report(fill(wording, &[("voice", &voice), ("why", &why), ("text", text)]));
    }

    fn report(&self, line: String) {
        let _ = self.tell.send(line);
    }
}
