//! One minute of a class rendered with and without music, and one minute of music decoded. 60 s divided by the time
//! taken is how many times faster than real time this is.

use std::path::{Path, PathBuf};
use std::sync::Arc;

use class::schedule::Audience;
use class::time::Tick;
use divan::{Bencher, black_box};
use sound::music::{MusicRequest, PlaylistFeed, StereoFrame, tape};
use sound::{
    EngineVolumes, FrameClock, PlannedSound, PlaybackRun, RenderOrder, Renderer, Score, SoundContent, SoundPlan,
    ToneSamples, ToneSignal,
};

const RATE: u32 = 48_000;
const MINUTE: usize = 60 * RATE as usize;

fn main() {
    divan::main();
}

fn second(ending: &str) -> PathBuf {
    Path::new(env!("CARGO_MANIFEST_DIR")).join(format!("tests/music/one-second.{ending}"))
}

/// One minute of one file in a loop, at the rate of the device.
#[divan::bench(args = ["wav", "flac", "mp3", "ogg", "m4a"], sample_count = 10)]
fn a_minute_decoded(bencher: Bencher, ending: &str) {
    let mut feed = PlaylistFeed::new([second(ending)].as_slice().into(), 0, RATE);
    let mut out: Vec<StereoFrame> = vec![[0.0; 2]; MINUTE];
    bencher.bench_local(|| feed.read(black_box(&mut out)));
}

/// A tone every two seconds, in pieces as a device asks for them; with or without music that is decoded meanwhile.
#[divan::bench(args = [false, true], sample_count = 10)]
fn a_minute_rendered(bencher: Bencher, music: bool) {
    let sound = |second| PlannedSound {
        at: Tick::seconds(second),
        audience: Audience::Class,
        what: SoundContent::Tone(ToneSignal::BlockEnd),
    };
    let plan: SoundPlan = (0..60).step_by(2).map(sound).collect();
    let score = Arc::new(Score::new(&plan, &PlaybackRun::from(Tick::ZERO), RATE, &ToneSamples::at(RATE), |_| true));
    let piece = 2_400;
    bencher
        .with_inputs(|| {
            let (mut renderer, mut conduct) =
                Renderer::new(RATE, 2, Arc::new(EngineVolumes::default()), FrameClock::fixed(RATE));
            conduct.send(RenderOrder::Play { score: score.clone(), zero: -5_000_000_000, on: 0 });
            let deck = Arc::new(MusicRequest::default());
            let (mut reel, tape) = tape(RATE, deck.clone());
            let mut feed = PlaylistFeed::new([second("wav")].as_slice().into(), 0, RATE);
            reel.fill(&mut feed);
            if music {
                renderer.add_music(tape);
                deck.load(Some(0));
                deck.play(Some(0));
            }
            (renderer, conduct, reel, feed, vec![0.0; 2 * piece])
        })
        .bench_local_refs(|(renderer, _, reel, feed, out)| {
            for _ in 0..MINUTE / piece {
                if music {
                    reel.fill(feed);
                }
                renderer.pull(black_box(out), None);
            }
        });
}
