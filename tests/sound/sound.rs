//! Sound: every tone and word plays on its frame, on any device.

use std::sync::atomic::{AtomicUsize, Ordering};
use std::sync::{Arc, Mutex};
use std::time::{Duration, Instant};

use assert_no_alloc::assert_no_alloc;
use class::schedule::Audience;
use class::time::Tick;
use rodio::Source as _;
use sound::{
    AudioDevice, BufferRequest, DeviceError, DeviceLatencies, DeviceState, EngineSettings, EngineVolumes, FrameClock,
    LossNotifier, NoteClip, OpenedStream, Pcm, PlannedSound, PlaybackRun, RenderOrder, Renderer, RendererControl,
    Score, SoundBus, SoundContent, SoundEngine, SoundPlan, StreamCallback, ToneSamples, ToneSignal, loudness, render,
};
use strum::IntoEnumIterator;

fn tone(at: Tick, signal: ToneSignal) -> PlannedSound {
    PlannedSound { at, audience: Audience::Class, what: SoundContent::Tone(signal) }
}

fn speech(at: Tick, pcm: &Pcm) -> PlannedSound {
    PlannedSound { at, audience: Audience::Class, what: SoundContent::Speech(pcm.clone()) }
}

/// Something like a voice: a buzz with a beat, levelled as all speech is.
fn buzz(seconds: f64) -> Pcm {
    let rate = 16_000;
    let samples = (0..(f64::from(rate) * seconds) as usize).map(|n| {
        let t = n as f64 / f64::from(rate);
        let harmonics: f64 = (1..12).map(|k| (std::f64::consts::TAU * 140.0 * f64::from(k) * t).sin()).sum();
        (harmonics * (0.6 + 0.4 * (t * 23.0).sin()) * 0.02) as f32
    });
    Pcm::levelled(rate, samples.collect()).expect("a buzz is sound")
}

fn score(plan: &SoundPlan, run: PlaybackRun, rate: u32) -> Arc<Score> {
    Arc::new(Score::new(plan, &run, rate, &ToneSamples::at(rate), |ear| ear == Audience::Class))
}

fn renderer(rate: u32, line: FrameClock) -> (Renderer, RendererControl) {
    Renderer::new(rate, 1, Arc::new(EngineVolumes::default()), line)
}

/// A class of 45 minutes: in each minute the same pips, starts and rests, at odd milliseconds.
fn class() -> Vec<(Tick, ToneSignal)> {
    (0..45 * 60)
        .filter_map(|second: u64| {
            let at = Tick(second * 1000 + second * 7 % 13);
            match second % 60 {
                0 => Some((at, ToneSignal::Start)),
                27..=29 | 57..=59 => Some((at, ToneSignal::Pip)),
                30 => Some((at, ToneSignal::Switch)),
                45 => Some((at, ToneSignal::Rest)),
                _ => None,
            }
        })
        .collect()
}

/// The first samples that are not silent after at least `gap` silent ones.
fn onsets(samples: impl Iterator<Item = f32>, gap: u64) -> Vec<u64> {
    let mut found = Vec::new();
    let mut quiet = u64::MAX;
    for (at, sample) in samples.enumerate() {
        if sample == 0.0 {
            quiet = quiet.saturating_add(1);
        } else {
            if quiet >= gap {
                found.push(at as u64);
            }
            quiet = 0;
        }
    }
    found
}

#[test]
fn every_onset_of_a_class_is_within_a_frame_of_its_tick() {
    let sounds = class();
    let plan: SoundPlan = sounds.iter().map(|&(at, signal)| tone(at, signal)).collect();
    for rate in [44_100, 48_000, 96_000] {
        let score = score(&plan, PlaybackRun::from(Tick::ZERO), rate);
        let lead = Score::frame(Score::LEAD, rate, 1000);
        let end = score.end();
        let found = onsets(render(score, lead..end), u64::from(rate) / 5);
        assert_eq!(found.len(), sounds.len(), "at {rate}");
        for (frame, (at, signal)) in found.iter().zip(&sounds) {
            // Calculated here, not by the score: t seconds are t times the rate in frames.
            let wanted = at.0 as f64 * f64::from(rate) / 1000.0;
            assert!((*frame as f64 - wanted).abs() <= 1.0, "{signal} at {at:?}: frame {frame}, not {wanted}");
        }
    }
}

#[test]
fn a_device_that_drifts_is_followed_in_silence_and_to_a_millisecond() {
    let sounds = class();
    let plan: SoundPlan = sounds.iter().map(|&(at, signal)| tone(at, signal)).collect();
    let rate = 48_000u32;
    let score = score(&plan, PlaybackRun::from(Tick::ZERO), rate);
    for ppm in [-200.0, 200.0] {
        let (mut renderer, mut conduct) = renderer(rate, FrameClock::new(rate));
        let begins = 6.0;
        let lead = Score::LEAD.0 as f64 / 1000.0;
        conduct.send(RenderOrder::Play { score: score.clone(), zero: ((begins - lead) * 1e9) as i64, on: 0 });
        // The device plays fewer or more frames a second than it reports. Each is heard 80 ms after it is asked for.
        let pace = f64::from(rate) * (1.0 + ppm * 1e-6);
        let heard = |frame: f64| frame / pace + 0.08;
        let mut found = Vec::new();
        let mut quiet = u64::MAX;
        let mut buffer = [0f32; 2400];
        for frame in (0..(pace * (45.0 * 60.0 + 8.0)) as u64).step_by(buffer.len()) {
            let moves = renderer.corrections();
            let sounded = !renderer.is_silent();
            let asked = BufferRequest { at: ((heard(frame as f64) - 0.08) * 1e9) as i64, delay: 80_000_000 };
            renderer.pull(&mut buffer, Some(asked));
            let throughout = buffer.iter().all(|sample| sample.abs() > 1e-3);
            assert!(!(sounded && throughout && renderer.corrections() > moves), "moved inside a sound");
            if buffer == [0.0; 2400] {
                quiet = quiet.saturating_add(2400);
                continue;
            }
            for (at, sample) in buffer.iter().enumerate() {
                if *sample == 0.0 {
                    quiet = quiet.saturating_add(1);
                } else {
                    if quiet >= 9600 {
                        found.push(heard((frame + at as u64) as f64));
                    }
                    quiet = 0;
                }
            }
        }
        assert_eq!(found.len(), sounds.len(), "at {ppm} ppm");
        let worst = found.iter().zip(&sounds).map(|(heard, (at, _))| (heard - begins - at.0 as f64 / 1000.0).abs());
        let worst = worst.fold(0.0, f64::max);
        assert!(worst < 0.001, "at {ppm} ppm off by {:.3} ms", worst * 1000.0);
        assert!(renderer.corrections() > 10);
    }
}

/// A stream on a busy computer. Most of the time its requests and the reported delays are up to 8 ms late. Now and then
/// it reports a delay that is too short by one buffer.
#[test]
fn a_device_that_answers_late_does_not_move_the_sound() {
    let rate = 48_000u32;
    let plan: SoundPlan = (0..240).map(|half| tone(Tick(half * 500), ToneSignal::Pip)).collect();
    let score = score(&plan, PlaybackRun::from(Tick::ZERO), rate);
    for seed in 1..=10u64 {
        let (mut renderer, mut conduct) = renderer(rate, FrameClock::new(rate));
        conduct.send(RenderOrder::Play { score: score.clone(), zero: -4_000_000_000, on: 0 });
        let mut state = seed.wrapping_mul(0x9E37_79B9_7F4A_7C15);
        let mut chance = |of: u64| {
            state = state.wrapping_mul(6_364_136_223_846_793_005).wrapping_add(1);
            (state >> 33) % of
        };
        let mut out = Vec::new();
        let mut buffer = [0f32; 4800];
        for frame in (0..48_000 * 122).step_by(buffer.len()) {
            let heard = frame as i64 * 1_000_000 / 48;
            // The computer is busy for one minute, after 10 s.
            let busy = (10..70).contains(&(frame / 48_000));
            let mut late = || if busy && chance(10) < 8 { chance(8_000_000) as i64 } else { chance(100_000) as i64 };
            let (asked_late, told_late) = (late(), late());
            let early = if chance(20) == 0 { 100_000_000 } else { 0 };
            let asked = BufferRequest { at: heard - 200_000_000 + asked_late, delay: 200_000_000 + told_late - early };
            renderer.pull(&mut buffer, Some(asked));
            out.extend_from_slice(&buffer);
        }
        let found: Vec<f64> = onsets(out.into_iter(), 9600).into_iter().map(|at| at as f64 / 48.0).collect();
        let off = |at: &f64| at - (at / 500.0).round() * 500.0;
        let offs: Vec<f64> = found.iter().map(off).collect();
        let spread = offs.iter().copied().fold(f64::MIN, f64::max) - offs.iter().copied().fold(f64::MAX, f64::min);
        assert!(found.len() >= 238, "{} of 240 heard", found.len());
        assert!(spread < 1.0, "seed {seed}: a spread of {spread:.3} ms, {offs:.2?}");
    }
}

#[test]
fn a_renderer_read_as_a_source_gives_the_same_samples() {
    let plan: SoundPlan = [tone(Tick(0), ToneSignal::BlockEnd)].into_iter().collect();
    let of = |channels: u16| {
        let (renderer, mut conduct) =
            Renderer::new(48_000, channels, Arc::new(EngineVolumes::default()), FrameClock::fixed(48_000));
        conduct.send(RenderOrder::Play {
            score: score(&plan, PlaybackRun::from(Tick::ZERO), 48_000),
            zero: -5_000_000_000,
            on: 0,
        });
        renderer
    };
    for channels in [1, 2, 6] {
        let mut out = vec![0f32; 4_800 * usize::from(channels)];
        of(channels).pull(&mut out, None);
        let source = of(channels);
        assert_eq!((source.channels().get(), source.sample_rate().get()), (channels, 48_000));
        assert!(out.iter().any(|sample| *sample != 0.0));
        assert!(source.take(out.len()).eq(out.iter().copied()), "{channels} channels");
    }
}

#[test]
fn sound_follows_a_device_whose_latency_grows() {
    let rate = 48_000;
    let plan: SoundPlan = (0..40).map(|second| tone(Tick::seconds(second), ToneSignal::Pip)).collect();
    let (mut renderer, mut conduct) = renderer(rate, FrameClock::new(rate));
    conduct.send(RenderOrder::Play {
        score: score(&plan, PlaybackRun::from(Tick::ZERO), rate),
        zero: -4_000_000_000,
        on: 0,
    });
    // The device still takes its frames evenly, but from the tenth second on plays each one later, as with other
    // earphones.
    let delay = |frame: u64| if frame < 480_000 { 80_000_000 } else { 230_000_000 };
    let mut out = Vec::new();
    let mut buffer = [0f32; 2400];
    for frame in (0..48_000 * 30).step_by(buffer.len()) {
        renderer.pull(&mut buffer, Some(BufferRequest { at: frame as i64 * 1_000_000 / 48, delay: delay(frame) }));
        out.extend_from_slice(&buffer);
    }
    let found = onsets(out.into_iter(), 9600).into_iter();
    let heard = found.map(|frame| frame as f64 / 48_000.0 + delay(frame) as f64 / 1e9);
    let late: Vec<f64> = heard.filter(|at| *at > 14.0).map(|at| (at - at.round()).abs()).collect();
    assert!(late.len() > 10 && late.iter().all(|off| *off < 0.001), "{late:?}");
}

#[test]
fn frames_that_a_device_lost_are_skipped_at_the_next_silence() {
    let plan: SoundPlan = (0..40).map(|second| tone(Tick::seconds(second), ToneSignal::Pip)).collect();
    let rate = 48_000;
    let score = score(&plan, PlaybackRun::from(Tick::ZERO), rate);
    let (mut renderer, mut conduct) = renderer(rate, FrameClock::new(rate));
    conduct.send(RenderOrder::Play { score, zero: -4_000_000_000, on: 0 });
    // Every frame is heard 250 ms later from the tenth second on.
    let heard = |frame: u64| frame as f64 / 48_000.0 + if frame < 480_000 { 0.0 } else { 0.25 };
    let mut out = Vec::new();
    let mut buffer = [0f32; 2400];
    for frame in (0..48_000 * 30).step_by(buffer.len()) {
        renderer.pull(&mut buffer, Some(BufferRequest { at: (heard(frame) * 1e9) as i64, delay: 0 }));
        out.extend_from_slice(&buffer);
    }
    let found = onsets(out.into_iter(), 9600).into_iter().map(heard);
    let late: Vec<f64> = found.filter(|at| *at > 12.5).map(|at| (at - at.round()).abs()).collect();
    assert!(late.len() > 10 && late.iter().all(|off| *off < 0.001), "{late:?}");
}

#[test]
fn a_score_is_replaced_on_the_named_frame_and_the_old_one_comes_back() {
    let rate = 48_000;
    let one = score(&[tone(Tick(0), ToneSignal::ClassEnd)].into_iter().collect(), PlaybackRun::from(Tick::ZERO), rate);
    let two = score(&[tone(Tick(0), ToneSignal::Pip)].into_iter().collect(), PlaybackRun::from(Tick::ZERO), rate);
    for on in [30_000u64, 30_001, 30_017, 31_999] {
        let (mut renderer, mut conduct) = renderer(rate, FrameClock::fixed(rate));
        conduct.send(RenderOrder::Play { score: one.clone(), zero: -5_000_000_000, on: 0 });
        // The second score starts exactly on the frame `on`.
        let zero = FrameClock::fixed(rate).nanos(on) - 5_000_000_000;
        conduct.send(RenderOrder::Play { score: two.clone(), zero, on });
        let mut out = vec![0f32; 48_000];
        renderer.pull(&mut out, None);
        // The first score without the change.
        let alone: Vec<f32> = render(one.clone(), 240_000..288_000).collect();
        let on = on as usize;
        assert_eq!(out[..on], alone[..on], "before the change nothing differs");
        let fade = 240;
        let pip: Vec<f32> = render(two.clone(), 240_000..244_800).collect();
        for at in fade + 2..4800 {
            assert!((out[on + at] - pip[at]).abs() < 1e-6, "after 5 ms only the new score sounds");
        }
        let steps = |samples: &[f32]| samples.windows(2).map(|pair| (pair[1] - pair[0]).abs()).fold(0.0, f32::max);
        assert!(steps(&out[on - 10..on + 300]) < 0.08, "no click");
        assert_eq!(conduct.free_returned(), 2, "the first, silent score and the one replaced");
    }
}

#[test]
fn a_sound_in_both_scores_continues_without_a_gap() {
    let rate = 48_000;
    let voice = buzz(3.0);
    let sounds = [tone(Tick(0), ToneSignal::Start), speech(Tick(1_300), &voice), tone(Tick(5_000), ToneSignal::Pip)];
    let plan: SoundPlan = sounds.into_iter().collect();
    let old = score(&plan, PlaybackRun::from(Tick::ZERO), rate);
    let alone: Vec<f32> = render(old.clone(), 240_000..480_000).collect();
    // Within a tone, within speech, and just after speech started, when a note could start a second time.
    for at in [200u64, 1_303, 1_450, 3_017] {
        let (mut renderer, mut conduct) = renderer(rate, FrameClock::fixed(rate));
        conduct.send(RenderOrder::Play { score: old.clone(), zero: -5_000_000_000, on: 0 });
        let mut out = vec![0f32; at as usize * 48];
        renderer.pull(&mut out, None);
        let run = PlaybackRun { keeps_sounding: true, ..PlaybackRun::from(Tick(at)) };
        let zero = at as i64 * 1_000_000 - 5_000_000_000;
        conduct.send(RenderOrder::Play { score: score(&plan, run, rate), zero, on: 0 });
        let mut after = vec![0f32; 240_000 - out.len()];
        renderer.pull(&mut after, None);
        out.extend(after);
        assert!(out == alone, "{at}");
    }
}

#[test]
fn silence_comes_within_five_milliseconds_of_the_buffer() {
    let rate = 48_000;
    let plan: SoundPlan = [tone(Tick(0), ToneSignal::Start), speech(Tick(700), &buzz(3.0))].into_iter().collect();
    for second in [0.2, 1.5] {
        let (mut renderer, mut conduct) = renderer(rate, FrameClock::fixed(rate));
        conduct.send(RenderOrder::Play {
            score: score(&plan, PlaybackRun::from(Tick::ZERO), rate),
            zero: -5_000_000_000,
            on: 0,
        });
        let mut before = vec![0f32; (second * 48_000.0) as usize];
        renderer.pull(&mut before, None);
        conduct.send(RenderOrder::Play { score: Arc::new(Score::silent(rate)), zero: 0, on: 0 });
        let mut after = vec![0f32; 2400];
        renderer.pull(&mut after, None);
        assert!(before[before.len() - 200..].iter().any(|sample| sample.abs() > 0.05));
        assert!(after[240..].iter().all(|sample| *sample == 0.0));
    }
}

#[test]
fn the_callback_neither_allocates_nor_frees() {
    let rate = 44_100;
    let plan: SoundPlan = (0..20)
        .flat_map(|third| {
            [tone(Tick::seconds(3 * third), ToneSignal::Rest), speech(Tick::seconds(3 * third), &buzz(0.4))]
        })
        .collect();
    let (mut renderer, mut conduct) = renderer(rate, FrameClock::new(rate));
    let mut buffer = vec![0f32; 2205];
    for step in 0..400u64 {
        // Orders are given outside the callback. In the callback scores are taken, replaced and given back.
        if step.is_multiple_of(7) {
            conduct.send(RenderOrder::Play {
                score: score(&plan, PlaybackRun::from(Tick::ZERO), rate),
                zero: -5_000_000_000,
                on: 0,
            });
            conduct.send(RenderOrder::Tick(ToneSignal::Taken));
        }
        // The device stops once for 90 ms, so that the frame clock moves.
        let heard = step as i64 * 50_000_000 + if step > 200 { 90_000_000 } else { 0 };
        assert_no_alloc(|| renderer.pull(&mut buffer, Some(BufferRequest { at: heard, delay: 0 })));
    }
    assert!(renderer.corrections() > 0);
}

#[test]
fn nothing_clips_and_either_tone_or_speech_gives_way() {
    let rate = 48_000;
    let tones = ToneSamples::at(rate);
    let all = ToneSignal::iter().enumerate().flat_map(|(at, signal)| {
        let at = Tick::seconds(4 * at as u64);
        [speech(at, &buzz(3.0)), tone(at + Tick(1000), signal)]
    });
    let plan: SoundPlan = all.collect();
    let score = score(&plan, PlaybackRun::from(Tick::ZERO), rate);
    for (at, note) in score.notes.iter().enumerate() {
        if let NoteClip::Tone(signal, _) = &note.clip {
            let before = &score.notes[at - 1];
            if signal.is_boundary() {
                assert_eq!(before.end(), note.start, "speech ends where {signal} begins");
            } else {
                // FAA Human Factors Design Standard: 15 dB over other sound.
                assert!(20.0 * note.gain.log10() <= -15.0 + 0.01, "{signal} gives way");
            }
        }
    }
    let peak = render(score.clone(), 0..score.end()).fold(0.0, |peak: f32, sample| peak.max(sample.abs()));
    assert!(peak < 0.95, "{peak}");
    assert_eq!(tones.get(ToneSignal::Pip).len(), 4800, "a pip is a tenth of a second");
    assert_eq!(tones.get(ToneSignal::Start).len(), 24_000, "the mark is half a second: the Greenwich Time Signal");
}

#[test]
fn tones_are_equally_loud_and_in_the_audible_range() {
    // The share of energy between 500 Hz and 3 kHz, by simple Fourier sums.
    for signal in ToneSignal::iter() {
        let samples = signal.samples(16_000);
        let samples = &samples[..samples.len().min(8_000)];
        let energy = |from: usize, to: usize| -> f64 {
            let size = samples.len() as f64;
            (from..to)
                .step_by(40)
                .map(|pitch| {
                    let turn = std::f64::consts::TAU * pitch as f64 / 16_000.0;
                    let (re, im) = samples.iter().enumerate().fold((0.0, 0.0), |(re, im), (n, sample)| {
                        let angle = turn * n as f64;
                        (re + f64::from(*sample) * angle.cos(), im + f64::from(*sample) * angle.sin())
                    });
                    (re * re + im * im) / size
                })
                .sum()
        };
        let (within, all) = (energy(500, 3000), energy(20, 8000));
        assert!(within / all > 0.97, "{signal}: {:.3} of it between 500 Hz and 3 kHz", within / all);
        // The loudness of the notes without the gaps (ITU-R BS.1770, by the crate ebur128).
        let sounding: Vec<f32> = samples.iter().copied().filter(|sample| *sample != 0.0).collect();
        let lufs = loudness::measure(16_000, &sounding).expect("a tone is loud enough to measure");
        let wanted = loudness::TARGET - if signal.is_soft() { 15.0 } else { 0.0 };
        assert!((lufs - wanted).abs() < if signal.is_soft() { 3.0 } else { 1.0 }, "{signal}: {lufs:.1} LUFS");
    }
}

#[test]
fn loudness_agrees_with_the_standard() {
    // ITU-R BS.1770: 997 Hz at full scale in one channel reads -3.01 LKFS.
    let sine: Vec<f32> =
        (0..48_000 * 4).map(|n| (std::f64::consts::TAU * 997.0 * n as f64 / 48_000.0).sin() as f32).collect();
    let read = loudness::measure(48_000, &sine).expect("loud");
    assert!((read + 3.01).abs() < 0.1, "{read}");
    // A clip shorter than a block of the gate has the same loudness as a long clip of the same sound.
    let short = loudness::measure(48_000, &sine[..9_600]).expect("loud");
    assert!((short - read).abs() < 0.2, "{short}");
}

#[test]
fn speech_waits_for_the_tone_of_its_tick_and_is_dropped_when_too_late() {
    let rate = 48_000;
    let (long, short) = (buzz(2.0), buzz(0.5));
    let plan: SoundPlan = [
        speech(Tick(1000), &long),
        tone(Tick(1000), ToneSignal::Rest),
        speech(Tick(3500), &short),
        speech(Tick(9000), &long),
        speech(Tick(9500), &short),
    ]
    .into_iter()
    .collect();
    let score = score(&plan, PlaybackRun::from(Tick::ZERO), rate);
    let starts: Vec<u64> = score.notes.iter().map(|note| note.start).collect();
    let lead = 5 * 48_000;
    assert_eq!(starts[0], lead + 48_000);
    assert_eq!(starts[1], score.notes[0].end() + 80 * 48, "after the tone");
    assert_eq!(starts[2], score.notes[1].end() + 80 * 48, "a little late, after the cue before");
    assert_eq!((score.notes.len(), score.dropped), (4, 1), "half a second into two seconds of speech is too late");
}

#[test]
fn a_count_in_has_three_pips_and_a_start_tone() {
    let rate = 48_000;
    let plan: SoundPlan =
        [tone(Tick(60_000), ToneSignal::Start), tone(Tick(90_000), ToneSignal::Rest)].into_iter().collect();
    for from in [Tick(60_000), Tick(70_000)] {
        let run = PlaybackRun { count_in: true, ..PlaybackRun::from(from) };
        let score = score(&plan, run, rate);
        let starts: Vec<(u64, bool)> =
            score.notes.iter().take(4).map(|note| (note.start / 48, note.frames == 24_000)).collect();
        assert_eq!(starts, [(2000, false), (3000, false), (4000, false), (5000, true)]);
    }
}

#[test]
fn volumes_ramp_and_mute_is_silent() {
    let rate = 48_000;
    let levels = Arc::new(EngineVolumes::default());
    let (mut renderer, mut conduct) = Renderer::new(rate, 2, levels.clone(), FrameClock::fixed(rate));
    let plan: SoundPlan = [tone(Tick(0), ToneSignal::ClassEnd)].into_iter().collect();
    conduct.send(RenderOrder::Play {
        score: score(&plan, PlaybackRun::from(Tick::ZERO), rate),
        zero: -5_000_000_000,
        on: 0,
    });
    let mut out = vec![0f32; 2 * 48_000 / 10];
    renderer.pull(&mut out, None);
    assert!(out.chunks(2).all(|frame| frame[0] == frame[1]), "both channels carry it");
    levels.set(SoundBus::Speech, 0.0);
    levels.mute(true);
    renderer.pull(&mut out, None);
    assert!(out[2 * 960 + 256..].iter().all(|sample| *sample == 0.0), "silent within 20 ms");
}

#[test]
fn a_step_of_volume_is_a_ramp_without_a_click_and_of_one_bus_alone() {
    let rate = 48_000;
    let plan: SoundPlan = [tone(Tick(0), ToneSignal::ClassEnd), speech(Tick(2_000), &buzz(1.0))].into_iter().collect();
    let score = score(&plan, PlaybackRun::from(Tick::ZERO), rate);
    let played = |change: Option<(usize, f32)>| -> Vec<f32> {
        let levels = Arc::new(EngineVolumes::default());
        let (mut renderer, mut conduct) = Renderer::new(rate, 1, levels.clone(), FrameClock::fixed(rate));
        conduct.send(RenderOrder::Play { score: score.clone(), zero: -5_000_000_000, on: 0 });
        let mut out = vec![0f32; 4 * 48_000];
        let (before, after) = out.split_at_mut(change.map_or(0, |(at, _)| at));
        renderer.pull(before, None);
        change.iter().for_each(|&(_, volume)| levels.set(SoundBus::Tones, volume));
        renderer.pull(after, None);
        out
    };
    let full = played(None);
    // In the middle of the last, long note of the tone.
    let at = 40_000;
    let softer = played(Some((at, 0.81)));
    assert_eq!(full[..at], softer[..at]);
    assert_eq!(full[96_000..], softer[96_000..], "speech keeps its volume");
    // The volume by the samples, where they are large enough to calculate it.
    let told = |frame: usize| (full[frame].abs() > 0.05).then(|| softer[frame] / full[frame]);
    let volumes: Vec<(usize, f32)> = (at..at + 9_600).filter_map(|frame| Some((frame, told(frame)?))).collect();
    assert!(volumes.len() > 5_000);
    for pair in volumes.windows(2) {
        let step = (pair[1].1 - pair[0].1).abs() / (pair[1].0 - pair[0].0) as f32;
        assert!(
            step <= 1.05 / (0.02 * 48_000.0),
            "from silence to full takes 20 ms at least, so a step {step} is a click"
        );
    }
    assert!(volumes.iter().filter(|(frame, _)| *frame > at + 960).all(|(_, volume)| (volume - 0.81).abs() < 1e-4));
}

/// How a test device behaves.
#[derive(Clone, Copy, PartialEq)]
enum Manner {
    Missing,
    NeverPulls,
    Floods,
    Plays,
}

/// A test device that counts how often it was opened.
struct TestDevice {
    manners: Arc<Mutex<Vec<Manner>>>,
    opened: Arc<AtomicUsize>,
    /// When it first got something that is not silent.
    sounded: Arc<Mutex<Option<Instant>>>,
}

/// Ends the thread of a test device when dropped.
struct Stop(Arc<AtomicUsize>);

impl Drop for Stop {
    fn drop(&mut self) {
        self.0.store(1, Ordering::Relaxed);
    }
}

impl AudioDevice for TestDevice {
    fn open(
        &mut self,
        source: &mut dyn FnMut(u32, u16) -> StreamCallback,
        lost: LossNotifier,
    ) -> Result<OpenedStream, DeviceError> {
        self.opened.fetch_add(1, Ordering::Relaxed);
        let mut manners = self.manners.lock().expect("no thread failed");
        let manner = if manners.len() > 1 { manners.remove(0) } else { manners[0] };
        if manner == Manner::Missing {
            return Err(DeviceError::NoDevice);
        }
        let mut pull = source(48_000, 2);
        let ended = Arc::new(AtomicUsize::new(0));
        let (end, sounded) = (ended.clone(), self.sounded.clone());
        std::thread::spawn(move || {
            let mut buffer = [0f32; 960];
            while end.load(Ordering::Relaxed) == 0 {
                match manner {
                    Manner::Plays => {
                        pull(&mut buffer, Some(Duration::from_millis(20)));
                        if buffer != [0.0; 960] {
                            sounded.lock().expect("no thread failed").get_or_insert_with(Instant::now);
                        }
                    }
                    Manner::Floods => (0..10_000).for_each(|_| lost.tell()),
                    _ => {}
                }
                std::thread::park_timeout(Duration::from_millis(10));
            }
        });
        Ok(OpenedStream { name: "bench".to_owned(), buffer: None, stream: Box::new(Stop(ended)) })
    }
}

fn engine(manners: &[Manner]) -> (SoundEngine, Arc<AtomicUsize>) {
    let opened = Arc::new(AtomicUsize::new(0));
    let manners = Arc::new(Mutex::new(manners.to_vec()));
    let device = TestDevice { manners, opened: opened.clone(), sounded: Arc::default() };
    (SoundEngine::on(Box::new(device), None, &EngineSettings::default()), opened)
}

/// Waits for something that another thread does, 10 s at most.
fn until(what: &str, mut done: impl FnMut() -> bool) {
    let begun = Instant::now();
    while !done() {
        assert!(begun.elapsed() < Duration::from_secs(10), "waited for {what}");
        std::thread::park_timeout(Duration::from_millis(5));
    }
}

#[test]
fn without_a_device_one_message_is_shown_and_no_thread_spins() {
    let (engine, opened) = engine(&[Manner::Missing]);
    let plan: Arc<SoundPlan> = Arc::new([tone(Tick(0), ToneSignal::Start)].into_iter().collect());
    let mut reports = Vec::new();
    let begun = Instant::now();
    until("three looks", || {
        engine.play(&plan, PlaybackRun::from(Tick::ZERO), Instant::now());
        reports.extend(engine.reports());
        opened.load(Ordering::Relaxed) >= 3
    });
    assert!(begun.elapsed() > Duration::from_millis(1500), "orders do not shorten the wait between attempts");
    assert_eq!(reports.len(), 1, "{reports:?}");
    assert!(matches!(engine.status()[0].state, DeviceState::Missing(_)));
}

#[test]
fn sound_is_sent_earlier_by_the_latency_set_for_a_device() {
    let mut dials = DeviceLatencies::default();
    dials.set("bench", Duration::from_secs(2));
    let sounded = Arc::new(Mutex::new(None));
    let manners = Arc::new(Mutex::new(vec![Manner::Plays]));
    let device = TestDevice { manners, opened: Arc::default(), sounded: sounded.clone() };
    let engine = SoundEngine::on(Box::new(device), None, &EngineSettings { dials, ..EngineSettings::default() });
    // A tone every 4 s: a busy computer may be late for the first ones.
    let plan: Arc<SoundPlan> =
        Arc::new((0..20).map(|tone_at| tone(Tick::seconds(4 * tone_at), ToneSignal::Start)).collect());
    let first = Instant::now();
    engine.play(&plan, PlaybackRun::from(Tick::ZERO), first);
    until("a sound", || sounded.lock().expect("no thread failed").is_some());
    let sent = sounded.lock().expect("no thread failed").expect("a sound");
    let before = 4_000 - sent.duration_since(first).as_millis() % 4_000;
    // The latency of 2 s that is set and the device's own 20 ms, less the lateness of a busy computer.
    assert!((1_000..2_500).contains(&before), "sent {before} ms before it is to be heard");
}

#[test]
fn a_device_that_floods_errors_is_reported_once_and_sound_comes_back() {
    let (engine, _) = engine(&[Manner::Floods, Manner::Plays]);
    let mut reports = Vec::new();
    until("sound to come back", || {
        reports.extend(engine.reports());
        reports.len() >= 2
    });
    assert!(reports[0].0.contains("disconnected") && reports[1].0.contains("back"), "{reports:?}");
    assert_eq!(engine.status()[0].state, DeviceState::Playing);
}

#[test]
fn a_device_that_never_pulls_is_given_up() {
    let (engine, _) = engine(&[Manner::NeverPulls, Manner::Plays]);
    let plan: Arc<SoundPlan> = Arc::new(SoundPlan::default());
    let mut reports = Vec::new();
    until("sound to come back", || {
        // More orders than the ring buffer can contain.
        engine.play(&plan, PlaybackRun::from(Tick::ZERO), Instant::now());
        reports.extend(engine.reports());
        reports.iter().any(|report| report.0.contains("back"))
    });
}

#[test]
fn a_tone_can_play_on_one_channel_only() {
    let levels = Arc::new(EngineVolumes::default());
    let (mut renderer, mut conduct) = Renderer::new(48_000, 2, levels.clone(), FrameClock::fixed(48_000));
    for (only, left, right) in [(Some(0), true, false), (Some(1), false, true), (None, true, true)] {
        levels.set_only(only);
        conduct.send(RenderOrder::Tick(ToneSignal::Pip));
        let mut buffer = [0f32; 2 * 9_600];
        renderer.pull(&mut buffer, None);
        let sounds = |channel: usize| buffer.iter().skip(channel).step_by(2).any(|sample| *sample != 0.0);
        assert_eq!((sounds(0), sounds(1)), (left, right), "{only:?}");
    }
    // A mono device plays the tone for either channel.
    let (mut renderer, mut conduct) = Renderer::new(48_000, 1, levels.clone(), FrameClock::fixed(48_000));
    levels.set_only(Some(1));
    conduct.send(RenderOrder::Tick(ToneSignal::Pip));
    let mut buffer = [0f32; 9_600];
    renderer.pull(&mut buffer, None);
    assert!(buffer.iter().any(|sample| *sample != 0.0));
}

#[test]
fn a_loudspeaker_is_kept_awake_by_an_inaudible_tone() {
    let levels = Arc::new(EngineVolumes::default());
    let (mut renderer, _conduct) = Renderer::new(48_000, 2, levels.clone(), FrameClock::fixed(48_000));
    let mut buffer = vec![0f32; 2 * 48_000];
    renderer.pull(&mut buffer, None);
    assert!(buffer.iter().all(|sample| *sample == 0.0), "nothing is added unless it is asked for");
    levels.keep_awake(true);
    assert_no_alloc(|| renderer.pull(&mut buffer, None));
    let left: Vec<f32> = buffer.iter().step_by(2).copied().collect();
    let highest = left.iter().fold(0f32, |highest, sample| highest.max(sample.abs()));
    let decibels = 20.0 * highest.log10();
    assert!((-51.0..-49.0).contains(&decibels), "{decibels} dB of full scale");
    // A tone of 20 Hz rises through zero 20 times a second.
    let rises = left.windows(2).filter(|pair| pair[0] < 0.0 && pair[1] >= 0.0).count();
    assert!((19..=20).contains(&rises), "{rises} a second");
    let most = left.windows(2).map(|pair| (pair[1] - pair[0]).abs()).fold(0f32, f32::max);
    assert!(most < 1e-4, "it fades in without a click: {most}");
    levels.keep_awake(false);
    renderer.pull(&mut buffer, None);
    assert!(buffer[2 * 24_000..].iter().all(|sample| *sample == 0.0));
}
