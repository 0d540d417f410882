//! What all screens draw with: the cells and their colours, large lettering, text, panes and strips.

mod apportion;
pub mod canvas;
mod ink;
pub mod lettering;
pub mod notice;
pub mod outline;
pub mod palette;
pub mod pane;
mod small;
pub mod text;

pub use apportion::apportion;
pub use lettering::{Fill, Lettering, SCALES, Size};
pub use notice::SMALLEST;
pub use palette::{Colours, Look};
