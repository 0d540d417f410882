//! The coach's screen: a pure function of the moment. It draws the state and decides nothing.

mod class_over;
mod end_and_spare;
mod far_view;
mod fingerprint;
mod halted;
mod offer;
mod overlays;
mod prompts;
mod ready;
mod rest;
mod roster;
mod scene;
mod spoken;
mod strips;
mod surroundings;
mod tempo_guide;
mod upcoming;
mod work;

pub use fingerprint::fingerprint;
pub(super) use tempo_guide::STEP as GUIDE_STEP;

use ratatui::Frame;

use crate::drawing::canvas::{Canvas, ScreenLayout};
use crate::drawing::{SMALLEST, ScreenTheme};
use crate::lead::{Moment, ScreenView};
use scene::{Scene, SceneContext};

/// Draws a moment over the whole frame.
pub fn draw(frame: &mut Frame, moment: &Moment, look: &ScreenTheme) {
    let area = frame.area();
    let buffer = frame.buffer_mut();
    buffer.set_style(area, look.text());
    let mut canvas = Canvas { buffer, look: *look, layout: ScreenLayout::of(area) };
    let seen = fingerprint::as_seen(moment);
    let at = SceneContext::of(&seen);
    if area.width < SMALLEST.0 || area.height < SMALLEST.1 {
        return overlays::too_small(&mut canvas, at.as_ref());
    }
    let Some(at) = at else { return };
    if moment.view == ScreenView::Far {
        return far_view::draw(&mut canvas, &at);
    }
    let body = surroundings::draw(&mut canvas, &at);
    match (moment.view, at.scene) {
        (ScreenView::Help, _) => overlays::help(&mut canvas, body, &at),
        (ScreenView::Quit, _) => overlays::quit(&mut canvas, body, &at),
        (_, Scene::Ready) => ready::draw(&mut canvas, body, &at),
        (_, Scene::Work | Scene::Last | Scene::Settle | Scene::Switch) => work::draw(&mut canvas, body, &at),
        (_, Scene::Rest) => rest::draw(&mut canvas, body, &at),
        (_, Scene::CountIn | Scene::Gate | Scene::Paused | Scene::Stopped) => halted::draw(&mut canvas, body, &at),
        (_, Scene::Done) => class_over::draw(&mut canvas, body, &at),
    }
    if let Some(offered) = &at.moment.offer {
        offer::draw(&mut canvas, body, &at, offered);
    }
}
