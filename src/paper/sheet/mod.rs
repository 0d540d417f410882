//! A class on paper: the run sheet and the cards, as pages to print, for a browser, and as text.

mod card;
mod kit;
mod pdf;
mod run_sheet;
mod text;

pub use card::{StationCard, TempoBar, TempoPhase, cards};
pub use kit::kit_list;
pub use pdf::{PaperSize, PdfDocument, PdfError, cards_pdf, run_sheet_pdf};
pub use run_sheet::{PROMPTS, RunSheet, SheetBlock, SheetLine, StripPiece, run_sheet};
pub use text::{html, html_cards, markdown, markdown_cards, plain, plain_cards};
