//! What the screen shows: the class for the coach or for the back row, and what is open above it.

use crate::lead::moment::ScreenView;

/// The view of the class, and what covers it. The view returns when the cover closes.
#[derive(Clone, Copy, Debug, Default)]
pub(super) struct OpenView {
    /// Whether the far view is below, and not the coach's.
    far: bool,
    cover: Option<ViewCover>,
}

/// What can be open above the class.
#[derive(Clone, Copy, Debug, PartialEq, Eq)]
pub(super) enum ViewCover {
    Help,
    /// The question whether to quit.
    Quit,
}

impl OpenView {
    /// The screen to show.
    pub(super) fn shown(self) -> ScreenView {
        match self.cover {
            Some(ViewCover::Help) => ScreenView::Help,
            Some(ViewCover::Quit) => ScreenView::Quit,
            None if self.far => ScreenView::Far,
            None => ScreenView::Coach,
        }
    }

    /// Changes between the far view and the coach's. What covers the class closes, and the far view is shown.
    pub(super) fn toggle_far(&mut self) {
        *self = OpenView { far: self.cover.is_some() || !self.far, cover: None };
    }

    /// Opens a cover in place of any other one, or closes it if it is open.
    pub(super) fn toggle(&mut self, cover: ViewCover) {
        self.cover = Some(cover).filter(|_| self.cover != Some(cover));
    }

    /// Closes a cover if it is open.
    pub(super) fn close(&mut self, cover: ViewCover) {
        self.cover = self.cover.filter(|open| *open != cover);
    }
}
