//! The words of the screen, in one place.

pub(super) const THEN: &str = "THEN";
pub(super) const NEXT: &str = "NEXT";
pub(super) const LEFT: &str = "LEFT";
pub(super) const RIGHT: &str = "RIGHT";
pub(super) const HELD: &str = "HELD";
pub(super) const DONE: &str = "DONE";
pub(super) const STOPPED: &str = "STOPPED";
pub(super) const READY: &str = "READY";
pub(super) const REST: &str = "REST";
pub(super) const SWITCH: &str = "SWITCH";
pub(super) const MOVE_ON: &str = "move on one station";
pub(super) const END_OF_CLASS: &str = "END OF CLASS";
pub(super) const GATE: &str = "WHEN YOU ARE READY";
pub(super) const GET_READY: &str = "GET READY";

/// The labels of the pane.
pub(super) const YOU: &str = "you";
pub(super) const YOU_LEFT: &str = "your left, facing them";
pub(super) const YOU_RIGHT: &str = "your right, facing them";
pub(super) const MIND: &str = "mind";
pub(super) const SAY: &str = "say";
pub(super) const WATCH: &str = "watch";
pub(super) const EASIER: &str = "easier";
pub(super) const HARDER: &str = "harder";
pub(super) const SET_UP: &str = "set up";
pub(super) const CARE: &str = "care";
pub(super) const VARIANT: &str = "one bell";
pub(super) const NOTE: &str = "note";
pub(super) const LEAVE_OUT: &str = "leave it out, rest";

/// What every class is told before it begins.
pub(super) const CAUTIONS: &[&str] = &[
    "Stop and tell the coach at chest pain or pressure, faintness, unusual breathlessness, sharp pain or numbness; \
     if in doubt call the emergency number.",
    "Breathe out on the effort; never hold the breath in a hold.",
    "Leave out what hurts. Pregnant, recently ill or injured: ask a professional first.",
    "At home: clear floor, phone in reach.",
    "No medical advice; local rules come first.",
];

/// What the stop screen says where the session names nothing of its own.
pub(super) const NO_EMERGENCY_TEXT: &str = "Call the emergency number. Send somebody to meet the ambulance.";
pub(super) const GATE_KEY: &str = "space begins";
pub(super) const STOPPED_KEY: &str = "the class is held · space goes on";
pub(super) const START_KEY: &str = "space begins";
pub(super) const STARTS_BY_ITSELF: &str = "to the start · space begins now";
pub(super) const DONE_KEY: &str = "q leaves";
pub(super) const FIRST: &str = "first";
pub(super) const GROUP: &str = "group ";
pub(super) const KIT: &str = "kit";
pub(super) const LENGTH: &str = "length";
pub(super) const MACHINE: &str = "machine";
pub(super) const WORKED: &str = "work";
pub(super) const LOST: &str = "held";
pub(super) const ENDED: &str = "ended";
pub(super) const PAUSE: &str = "HOLD";
pub(super) const QUIT: &str = "QUIT?";
pub(super) const QUIT_KEYS: &str = "of the class are left. y ends it for good · n goes on";
pub(super) const TOO_SMALL: &str = "A class needs a terminal of";
pub(super) const TOO_SMALL_NOW: &str = "this one has";

/// What space does before a class or a block, and while it is held.
pub(super) const BEGIN: &str = "begin";
pub(super) const GO_ON: &str = "go on";
