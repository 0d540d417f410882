//! The closed sets of words with which movements are described.

use std::fmt;

use serde::{Deserialize, Serialize};
use strum::{Display, EnumIter, EnumString, IntoStaticStr};

/// A set of words: written in files in snake case, printed with spaces.
macro_rules! words {
    ($(#[$meta:meta])* $name:ident { $($(#[$variant_meta:meta])* $variant:ident),* $(,)? }) => {
        $(#[$meta])*
        #[derive(
            Clone, Copy, Debug, PartialEq, Eq, PartialOrd, Ord, Hash, Serialize, Deserialize,
            Display, EnumIter, EnumString, IntoStaticStr,
        )]
        #[serde(rename_all = "snake_case")]
        #[strum(serialize_all = "snake_case")]
        pub enum $name { $($(#[$variant_meta])* $variant),* }

        impl $name {
            /// Every word of the set.
            pub const ALL: &'static [$name] = &[$($name::$variant),*];

            /// The word as people read it.
            pub fn words(self) -> String {
                self.to_string().replace('_', " ")
            }
        }
    };
}

words! {
    /// How the body moves.
    Pattern { Hinge, Squat, Lunge, Push, Pull, Rotate, Brace, Carry, Locomotion, Mobility }
}

words! {
    /// How the body stands or lies during the work.
    Position { Standing, HalfKneeling, Kneeling, Seated, Quadruped, Supine, Prone, SideLying }
}

impl Position {
    /// Whether the work is done on the floor. Seated may be either: see [`Position::on_floor_with`].
    pub fn on_floor(self) -> bool {
        !matches!(self, Position::Standing | Position::Seated)
    }

    /// Whether the work is done on the floor with this kit: who sits on a mat is down there, who sits on a chair is not.
    pub fn on_floor_with<'a>(self, kit: impl IntoIterator<Item = &'a Item>) -> bool {
        let mut kit = kit.into_iter().filter(|item| item.lies_out()).peekable();
        let sits_low = self == Position::Seated && kit.peek().is_some() && kit.all(Item::is_mat);
        self.on_floor() || sits_low
    }
}

words! {
    /// How a movement uses the two sides. All give both sides the same work.
    Sides {
        /// Both at once.
        Together,
        /// Left and right by turns, a repetition each.
        Alternating,
        /// All of the left, a switch, all of the right, in one span.
        LeftThenRight,
        /// A span for the left, then a span as long for the right.
        EachSide,
    }
}

words! {
    /// A muscle or muscle group.
    Muscle {
        Quadriceps, Hamstrings, Glutes, Calves, Adductors, Abductors, HipFlexors, Abdominals, Obliques, LowerBack,
        MiddleBack, Lats, Traps, Chest, Shoulders, Biceps, Triceps, Forearms, Neck,
    }
}

words! {
    /// A part of the body, or a state, that somebody in the class may have to mind.
    Region {
        Wrist, Shoulder, Neck, LowBack, Hip, Knee, Ankle, Balance, Supine, Overhead, Pregnancy, Impact, HeadDown,
        BreathHold,
    }
}

words! {
    /// How heavy, in words: people own kit by these, not by the kilogram.
    Load { Light, Medium, Heavy }
}

/// A kind of kit, by the name people give it: `kettlebell`, `band`, `box`.
#[derive(Clone, Debug, PartialEq, Eq, PartialOrd, Ord, Hash, Serialize, Deserialize)]
#[serde(transparent)]
pub struct Item(pub String);

impl Item {
    /// Whether it lies or stands where it is used, so that nobody takes it up or puts it down: a mat, a box, a chair.
    pub fn lies_out(&self) -> bool {
        self.is_mat() || matches!(self.0.as_str(), "box" | "chair" | "bench" | "step" | "wall")
    }

    /// Whether people sit and lie on it on the floor.
    pub fn is_mat(&self) -> bool {
        self.0 == "mat"
    }
}

impl fmt::Display for Item {
    fn fmt(&self, f: &mut fmt::Formatter<'_>) -> fmt::Result {
        f.write_str(&self.0)
    }
}
