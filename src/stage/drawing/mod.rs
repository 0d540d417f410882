//! What all screens draw with: the cells and their colours, large lettering, text, panes and strips.

mod apportion;
pub mod canvas;
mod dots;
pub mod lettering;
pub mod notice;
pub mod outline;
pub mod palette;
pub mod pane;
mod small_letters;
pub mod text;

pub use apportion::apportion;
pub use lettering::{FillStyle, LetterSize, Lettering, SCALES};
pub use notice::SMALLEST;
pub use palette::{ColourDepth, ScreenTheme};
