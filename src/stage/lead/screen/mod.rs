//! The coach's screen: a pure function of the moment. It draws the state and decides nothing.

mod aside;
mod coming;
mod done;
mod face;
mod far;
mod guide;
mod hold;
mod offer;
mod prompts;
mod ready;
mod rest;
mod roster;
mod scene;
mod spoken;
mod standing;
mod strips;
mod surround;
mod work;

pub use face::face;

use ratatui::Frame;

use crate::drawing::canvas::{Canvas, ScreenLayout};
use crate::drawing::{Look, SMALLEST};
use crate::lead::{Moment, View};
use scene::{At, Scene};

/// Draws a moment over the whole frame.
pub fn draw(frame: &mut Frame, moment: &Moment, look: &Look) {
    let area = frame.area();
    let buffer = frame.buffer_mut();
    buffer.set_style(area, look.text());
    let mut canvas = Canvas { buffer, look: *look, layout: ScreenLayout::of(area) };
    let seen = face::seen(moment);
    let at = At::of(&seen);
    if area.width < SMALLEST.0 || area.height < SMALLEST.1 {
        return aside::too_small(&mut canvas, at.as_ref());
    }
    let Some(at) = at else { return };
    if moment.view == View::Far {
        return far::draw(&mut canvas, &at);
    }
    let body = surround::draw(&mut canvas, &at);
    match (moment.view, at.scene) {
        (View::Help, _) => aside::help(&mut canvas, body, &at),
        (View::Quit, _) => aside::quit(&mut canvas, body, &at),
        (_, Scene::Ready) => ready::draw(&mut canvas, body, &at),
        (_, Scene::Work | Scene::Last | Scene::Settle | Scene::Switch) => work::draw(&mut canvas, body, &at),
        (_, Scene::Rest) => rest::draw(&mut canvas, body, &at),
        (_, Scene::CountIn | Scene::Gate | Scene::Held | Scene::Stopped) => hold::draw(&mut canvas, body, &at),
        (_, Scene::Done) => done::draw(&mut canvas, body, &at),
    }
    if let Some(offered) = &at.moment.offer {
        offer::draw(&mut canvas, body, &at, offered);
    }
}
