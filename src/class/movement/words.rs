//! The fixed sets of words that describe movements.

use std::fmt;

use serde::{Deserialize, Serialize};
use strum::{Display, EnumIter, EnumString, IntoStaticStr};

/// Defines a set of words. Files write them in snake case; they are printed with spaces.
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
            /// All words of the set.
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
    /// Whether the work is done on the floor. False for seated, which depends on the kit: see
    /// [`Position::on_floor_with`].
    pub fn on_floor(self) -> bool {
        !matches!(self, Position::Standing | Position::Seated)
    }

    /// Whether the work is done on the floor with this kit. Sitting on a mat is on the floor, on a chair it is not.
    pub fn on_floor_with<'a>(self, kit: impl IntoIterator<Item = &'a KitItem>) -> bool {
        let mut kit = kit.into_iter().filter(|item| item.stays_on_floor()).peekable();
        let sits_low = self == Position::Seated && kit.peek().is_some() && kit.all(KitItem::is_mat);
        self.on_floor() || sits_low
    }
}

words! {
    /// How a movement uses the two sides. Each way gives both sides the same work.
    Sides {
        /// Both sides at once.
        Together,
        /// Left and right alternate, one repetition each.
        Alternating,
        /// All of the left, a switch, then all of the right, in one span.
        LeftThenRight,
        /// A span for the left, then an equally long span for the right.
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
    /// A region of the body, or a state, that people may want to go easy on.
    Region {
        Wrist, Shoulder, Neck, LowBack, Hip, Knee, Ankle, Balance, Supine, Overhead, Pregnancy, Impact, HeadDown,
        BreathHold,
    }
}

words! {
    /// How heavy a piece of kit is. Words are used because people know their kit by these and not by kilograms.
    Load { Light, Medium, Heavy }
}

/// The name of a kind of kit: `kettlebell`, `band`, `box`.
#[derive(Clone, Debug, PartialEq, Eq, PartialOrd, Ord, Hash, Serialize, Deserialize)]
#[serde(transparent)]
pub struct KitItem(pub String);

impl KitItem {
    /// Whether it stays in place while it is used, such as a mat, a box or a chair. Nobody picks it up or puts it down.
    pub fn stays_on_floor(&self) -> bool {
        self.is_mat() || matches!(self.0.as_str(), "box" | "chair" | "bench" | "step" | "wall")
    }

    /// Whether it is a mat, on which people sit or lie on the floor.
    pub fn is_mat(&self) -> bool {
        self.0 == "mat"
    }
}

impl fmt::Display for KitItem {
    fn fmt(&self, f: &mut fmt::Formatter<'_>) -> fmt::Result {
        f.write_str(&self.0)
    }
}
