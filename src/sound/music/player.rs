//! The player: the thread that decodes music and keeps the tape full.

use std::path::PathBuf;
use std::sync::Arc;
use std::sync::mpsc::{Receiver, RecvTimeoutError, Sender, channel};
use std::time::Duration;

use super::{Deck, Feed, Reel, Tape, tape};
use crate::Report;

/// Music as the engine has it: what tells the player and the tape what to do. Nothing here waits.
#[derive(Clone)]
pub struct Music {
    deck: Arc<Deck>,
    orders: Sender<Order>,
}

impl Music {
    /// Starts the player of these lists, none of them empty. The first is made ready.
    pub fn start(lists: Vec<Arc<[PathBuf]>>, reports: Sender<Report>) -> Music {
        let deck = Arc::new(Deck::default());
        let (orders, inbox) = channel();
        let places = vec![0; lists.len()];
        let player = Player {
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
        // Without a thread there is no music.
        let _ = std::thread::Builder::new().name("music".to_owned()).spawn(move || player.run());
        Music { deck, orders }
    }

    /// Plays a list from where it was left, or none.
    pub fn play(&self, list: Option<usize>) {
        self.deck.play(list);
        if let Some(list) = list {
            let _ = self.orders.send(Order::List(list));
        }
    }

    /// Silences it at once.
    pub fn hush(&self) {
        self.deck.hush();
    }

    /// What plays it on a new stream of this rate; the stream before gets no more.
    pub fn tape(&self, rate: u32) -> Tape {
        let (reel, tape) = tape(rate, self.deck.clone());
        let _ = self.orders.send(Order::Tape(reel));
        tape
    }

    /// Ends it for good.
    pub fn quit(&self) {
        self.hush();
        let _ = self.orders.send(Order::Quit);
    }
}

/// What the player is told.
enum Order {
    /// A device plays, by this tape.
    Tape(Reel),
    /// This list is wanted.
    List(usize),
    Quit,
}

/// How often the tape is filled, a small part of what it holds.
const FILL: Duration = Duration::from_millis(100);
/// How often it is looked at while the frames of another list are taken off it.
const LOOK: Duration = Duration::from_millis(10);

struct Player {
    inbox: Receiver<Order>,
    deck: Arc<Deck>,
    reports: Sender<Report>,
    lists: Vec<Arc<[PathBuf]>>,
    /// The file that each list goes on with.
    places: Vec<usize>,
    /// The list that was wanted last, and its feed.
    list: usize,
    feed: Option<Feed>,
    /// Whether its frames are on the tape: else those of another may be.
    loaded: bool,
    reel: Option<Reel>,
}

impl Player {
    /// Runs until it is told to quit.
    fn run(mut self) {
        loop {
            let order = match self.wait() {
                Some(wait) => self.inbox.recv_timeout(wait),
                None => self.inbox.recv().map_err(|_| RecvTimeoutError::Disconnected),
            };
            match order {
                Ok(Order::Tape(reel)) => {
                    // What was on the tape of a device that is lost is lost with it.
                    if let Some(feed) = &mut self.feed {
                        feed.set_rate(reel.rate);
                    }
                    self.reel = Some(reel);
                }
                Ok(Order::List(list)) if list != self.list && list < self.lists.len() => self.change_to(list),
                Ok(Order::List(_)) | Err(RecvTimeoutError::Timeout) => {}
                Ok(Order::Quit) | Err(RecvTimeoutError::Disconnected) => return,
            }
            self.fill();
        }
    }

    /// How long to wait for an order before the tape is looked at. None: until there is one.
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
        // A device that is lost has let go of the other end.
        let Some(reel) = self.reel.as_mut().filter(|reel| !reel.is_cut()) else {
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
        let feed = self.feed.get_or_insert_with(|| Feed::new(list.clone(), place, reel.rate));
        reel.fill(feed);
        for line in feed.lines() {
            let _ = self.reports.send(Report(line));
        }
    }
}
