//! The player: the thread that decodes music and keeps the ring buffer full.

use std::path::PathBuf;
use std::sync::Arc;
use std::sync::mpsc::{Receiver, RecvTimeoutError, Sender, channel};
use std::time::Duration;

use super::{MusicRequest, MusicRingReader, MusicRingWriter, PlaylistFeed, tape};
use crate::SoundReport;

/// The engine's handle on music. It tells the player and the ring buffer what to do, and never waits.
#[derive(Clone)]
pub(crate) struct MusicControl {
    deck: Arc<MusicRequest>,
    orders: Sender<PlayerOrder>,
}

impl MusicControl {
    /// Starts the player with these lists. Each has at least one file. The first list is made ready.
    pub(crate) fn start(lists: Vec<Arc<[PathBuf]>>, reports: Sender<SoundReport>) -> MusicControl {
        let deck = Arc::new(MusicRequest::default());
        let (orders, inbox) = channel();
        let places = vec![0; lists.len()];
        let player = MusicPlayer {
            inbox,
            deck: deck.clone(),
            reports,
            lists,
            places,
            list: 0,
            feed: None,
            loaded: false,
            reel: None,
        };
        // If the thread cannot start, there is no music.
        let _ = std::thread::Builder::new().name("music".to_owned()).spawn(move || player.run());
        MusicControl { deck, orders }
    }

    /// Plays a list from where it last stopped. None: the music fades out.
    pub(crate) fn play(&self, list: Option<usize>) {
        self.deck.play(list);
        if let Some(list) = list {
            let _ = self.orders.send(PlayerOrder::List(list));
        }
    }

    /// Silences the music at once.
    pub(crate) fn hush(&self) {
        self.deck.hush();
    }

    /// A ring buffer that plays music on a new stream of this rate. The stream before gets no more music.
    pub(crate) fn tape(&self, rate: u32) -> MusicRingReader {
        let (reel, tape) = tape(rate, self.deck.clone());
        let _ = self.orders.send(PlayerOrder::Tape(reel));
        tape
    }

    /// Ends the player for good.
    pub(crate) fn quit(&self) {
        self.hush();
        let _ = self.orders.send(PlayerOrder::Quit);
    }
}

/// An order to the player.
enum PlayerOrder {
    /// Fills the ring buffer through this writer, for a device that now plays.
    Tape(MusicRingWriter),
    /// Plays this list.
    List(usize),
    Quit,
}

/// How often the ring buffer is filled: a small part of its length.
const FILL: Duration = Duration::from_millis(100);
/// How often the ring buffer is checked while the frames of another list are removed from it.
const LOOK: Duration = Duration::from_millis(10);

struct MusicPlayer {
    inbox: Receiver<PlayerOrder>,
    deck: Arc<MusicRequest>,
    reports: Sender<SoundReport>,
    lists: Vec<Arc<[PathBuf]>>,
    /// For each list, the index of the file with which it continues.
    places: Vec<usize>,
    /// The list that was ordered last.
    list: usize,
    /// The feed of that list.
    feed: Option<PlaylistFeed>,
    /// Whether the ring buffer contains frames of that list. If not, it may contain those of another list.
    loaded: bool,
    reel: Option<MusicRingWriter>,
}

impl MusicPlayer {
    /// Runs until it is told to quit.
    fn run(mut self) {
        loop {
            let order = match self.wait() {
                Some(wait) => self.inbox.recv_timeout(wait),
                None => self.inbox.recv().map_err(|_| RecvTimeoutError::Disconnected),
            };
            match order {
                Ok(PlayerOrder::Tape(reel)) => {
                    // The frames in the ring buffer of a lost device are lost too.
                    if let Some(feed) = &mut self.feed {
                        feed.set_rate(reel.rate);
                    }
                    self.reel = Some(reel);
                }
                Ok(PlayerOrder::List(list)) if list != self.list && list < self.lists.len() => self.change_to(list),
                Ok(PlayerOrder::List(_)) | Err(RecvTimeoutError::Timeout) => {}
                Ok(PlayerOrder::Quit) | Err(RecvTimeoutError::Disconnected) => return,
            }
            self.fill();
        }
    }

    /// How long to wait for an order before the ring buffer is checked. None: until an order comes.
    fn wait(&self) -> Option<Duration> {
        match &self.reel {
            None => None,
            Some(_) if !self.loaded => Some(LOOK),
            Some(_) => self.deck.plays().then_some(FILL),
        }
    }

    fn change_to(&mut self, list: usize) {
        if let Some(feed) = self.feed.take() {
            self.places[self.list] = feed.index();
        }
        self.list = list;
        self.loaded = false;
        self.deck.load(None);
    }

    fn fill(&mut self) {
        // A lost device has dropped the other end of the ring buffer.
        let Some(reel) = self.reel.as_mut().filter(|reel| !reel.is_disconnected()) else {
            self.reel = None;
            return;
        };
        if !self.loaded {
            if !reel.is_empty() {
                return;
            }
            self.loaded = true;
            self.deck.load(Some(self.list));
        }
        let (list, place) = (&self.lists[self.list], self.places[self.list]);
        let feed = self.feed.get_or_insert_with(|| PlaylistFeed::new(list.clone(), place, reel.rate));
        reel.fill(feed);
        for line in feed.lines() {
            let _ = self.reports.send(SoundReport(line));
        }
    }
}
