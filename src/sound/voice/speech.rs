//! Speech for a class. A separate thread makes it ahead of time, and no class waits for it.

use std::collections::HashMap;
use std::sync::mpsc::{Receiver, Sender, channel};
use std::sync::{Arc, Condvar, Mutex, MutexGuard, PoisonError};
use std::thread;
use std::time::{Duration, Instant};

use super::{Pcm, SpeechCache, Voice, VoiceFault};
use class::cue::call_words;
use class::schedule::TimeCall;
use class::words::{WORDS, fill};

/// The longest time that a voice may take for one text.
const PATIENCE: Duration = Duration::from_secs(10);
/// After this many failed texts in a row, the voice is tested with a word that any voice can say. A voice that fails at
/// that word too is given up.
const FAILURES: usize = 3;
/// The most letters of a refused text that a message shows.
const SHOWN: usize = 40;
/// How often a waiting caller checks whether the work still runs.
const LOOK: Duration = Duration::from_millis(200);

/// What is needed to make speech.
pub struct SpeechSetup {
    pub voice: Box<dyn Voice>,
    /// Where speech is kept for later classes. None: nowhere.
    pub cache: Option<SpeechCache>,
}

/// The speech of a class. Dropping it stops the work at the next text.
pub struct Speech {
    orders: Sender<Vec<String>>,
    store: Arc<SpeechStore>,
    news: Receiver<String>,
}

/// How much speech is ready.
#[derive(Clone, Copy, Debug, PartialEq, Eq, Default)]
pub struct SpeechProgress {
    /// Texts whose clip is ready.
    pub done: usize,
    /// Texts that the voice could not say.
    pub failed: usize,
    /// All texts ordered so far.
    pub of: usize,
}

/// What the class and the worker thread share.
#[derive(Default)]
struct SpeechStore {
    shelf: Mutex<ClipShelf>,
    /// Notified whenever a text is made or has failed.
    made: Condvar,
}

#[derive(Default)]
struct ClipShelf {
    clips: HashMap<String, ClipState>,
    /// The lengths of the clips made since [`Speech::lengths`] was last called.
    lengths: Vec<(String, Duration)>,
}

impl SpeechStore {
    fn shelf(&self) -> MutexGuard<'_, ClipShelf> {
        self.shelf.lock().unwrap_or_else(PoisonError::into_inner)
    }

    fn put(&self, text: String, made: ClipState) {
        let mut shelf = self.shelf();
        if let ClipState::Clip(pcm) = &made {
            shelf.lengths.push((text.clone(), pcm.length()));
        }
        shelf.clips.insert(text, made);
        self.made.notify_all();
    }
}

impl ClipShelf {
    fn ready(&self) -> SpeechProgress {
        let mut ready = SpeechProgress { of: self.clips.len(), ..SpeechProgress::default() };
        for made in self.clips.values() {
            match made {
                ClipState::NotYet => {}
                ClipState::Clip(_) => ready.done += 1,
                ClipState::Nothing => ready.failed += 1,
            }
        }
        ready
    }
}

/// The state of an ordered text.
enum ClipState {
    NotYet,
    Clip(Pcm),
    Nothing,
}

impl Speech {
    /// Starts the worker thread. It has nothing to do yet.
    pub fn start(setup: SpeechSetup) -> Speech {
        let (orders, inbox) = channel();
        let (tell, news) = channel();
        let store = Arc::new(SpeechStore::default());
        let worker = SpeechWorker { setup, store: store.clone(), tell, failures: 0, refused: false, given_up: false };
        // If the thread cannot start, no clip is ever ready and every text is printed.
        let _ = thread::Builder::new().name("voice".into()).spawn(move || worker.run(&inbox));
        Speech { orders, store, news }
    }

    /// Orders texts, in the order in which they will be needed. A text ordered before is not made again.
    pub fn prepare<S: Into<String>>(&self, texts: impl IntoIterator<Item = S>) {
        let mut shelf = self.store.shelf();
        let mut fresh = Vec::new();
        for text in texts {
            let text = text.into();
            if !shelf.clips.contains_key(&text) {
                shelf.clips.insert(text.clone(), ClipState::NotYet);
                fresh.push(text);
            }
        }
        let _ = self.orders.send(fresh);
    }

    /// The speech of a text, if it is ready.
    pub fn get(&self, text: &str) -> Option<Pcm> {
        let shelf = self.store.shelf();
        match shelf.clips.get(text) {
            Some(ClipState::Clip(pcm)) => Some(pcm.clone()),
            _ => None,
        }
    }

    /// How many texts are ready.
    pub fn ready(&self) -> SpeechProgress {
        self.store.shelf().ready()
    }

    /// The texts made since the last call, each with the length of its clip.
    pub fn lengths(&self) -> Vec<(String, Duration)> {
        std::mem::take(&mut self.store.shelf().lengths)
    }

    /// Waits until every ordered text is made or has failed. For commands that print; no class waits.
    pub fn wait_all(&self) {
        self.wait_while(|_| true);
    }

    /// The same, but only as long as `goes_on` returns true. `goes_on` gets the progress and must return quickly.
    /// Returns false when `goes_on` ended the wait early.
    pub fn wait_while(&self, mut goes_on: impl FnMut(SpeechProgress) -> bool) -> bool {
        let mut shelf = self.store.shelf();
        loop {
            let ready = shelf.ready();
            // A count of 1 means that the thread has ended: nothing more is made.
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

    /// The messages for the coach since the last call, one line each: a missing voice, a text that it cannot say.
    pub fn reports(&self) -> Vec<String> {
        self.news.try_iter().collect()
    }
}

struct SpeechWorker {
    setup: SpeechSetup,
    store: Arc<SpeechStore>,
    tell: Sender<String>,
    /// Texts that failed since the last one that was said.
    failures: usize,
    /// Whether the coach has been told of a failed text.
    refused: bool,
    /// Whether the voice is no longer used.
    given_up: bool,
}

impl SpeechWorker {
    fn run(mut self, inbox: &Receiver<Vec<String>>) {
        let name = self.setup.voice.name();
        let mut cache_fails = false;
        while let Ok(texts) = inbox.recv() {
            for text in texts {
                let kept = self.setup.cache.as_ref().and_then(|cache| cache.get(&name, &text));
                let made = match kept {
                    Some(pcm) => ClipState::Clip(pcm),
                    None => match self.say(&text) {
                        Some(pcm) => {
                            let kept = self.setup.cache.as_ref().map_or(Ok(()), |cache| cache.put(&name, &text, &pcm));
                            if let Err(error) = kept
                                && !std::mem::replace(&mut cache_fails, true)
                            {
                                let why = error.to_string();
                                self.report(fill(&WORDS.sound.voice.not_kept, &[("why", &why)]));
                            }
                            ClipState::Clip(pcm)
                        }
                        None => ClipState::Nothing,
                    },
                };
                // The `Speech` has been dropped: nobody needs the rest.
                if Arc::strong_count(&self.store) == 1 {
                    return;
                }
                self.store.put(text, made);
            }
            // A class does not depend on a trimmed cache, so an error is ignored.
            let _ = self.setup.cache.as_ref().map(SpeechCache::trim);
        }
    }

    /// The speech of a text. A voice may refuse some texts, as long as it says others.
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
                    match self.try_it(call_words(TimeCall::End)) {
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
        self.report_of(&WORDS.sound.voice.gave_up, why, "");
    }

    fn report_of(&self, wording: &str, why: &VoiceFault, text: &str) {
        let (voice, why) = (self.setup.voice.name(), why.to_string());
        self.report(fill(wording, &[("voice", &voice), ("why", &why), ("text", text)]));
    }

    fn report(&self, line: String) {
        let _ = self.tell.send(line);
    }
}
