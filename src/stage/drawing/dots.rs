//! Pictures of dots, two by two in a cell. Large lettering is made from them.

use ratatui::buffer::Buffer;
use ratatui::layout::{Position, Rect};
use ratatui::style::Style;

/// A picture made of dots.
#[derive(Clone, Debug, PartialEq, Eq)]
pub(crate) struct DotPicture {
    width: usize,
    height: usize,
    dots: Vec<bool>,
}

/// The quadrant characters, indexed by the sum of their dots: 1 top left, 2 top right, 4 bottom left, 8 bottom right.
const QUADRANTS: [&str; 16] = [" ", "▘", "▝", "▀", "▖", "▌", "▞", "▛", "▗", "▚", "▐", "▜", "▄", "▙", "▟", "█"];

impl DotPicture {
    pub(crate) fn new(width: usize, height: usize) -> DotPicture {
        DotPicture { width, height, dots: vec![false; width * height] }
    }

    pub(crate) fn set(&mut self, x: usize, y: usize) {
        if x < self.width && y < self.height {
            self.dots[y * self.width + x] = true;
        }
    }

    fn at(&self, x: isize, y: isize) -> bool {
        let (Ok(x), Ok(y)) = (usize::try_from(x), usize::try_from(y)) else { return false };
        x < self.width && y < self.height && self.dots[y * self.width + x]
    }

    /// Enlarges the picture 2, 3, 4, 6 or 8 times, with rounded corners. Any other scale leaves it as it is.
    pub(crate) fn scaled(self, scale: u16) -> DotPicture {
        match scale {
            2 => self.grown(2),
            3 => self.grown(3),
            4 | 6 | 8 => self.grown(2).scaled(scale / 2),
            _ => self,
        }
    }

    /// Enlarges the picture two or three times. A corner dot of each new square takes the value of the two neighbours
    /// that meet at the corner, if these two are alike and both opposite neighbours differ from them. So stairs become
    /// slopes, and corners become round.
    fn grown(&self, times: usize) -> DotPicture {
        let mut grown = DotPicture::new(self.width * times, self.height * times);
        let last = times - 1;
        for y in 0..self.height {
            for x in 0..self.width {
                let (cx, cy) = (x as isize, y as isize);
                let [up, down, left, right] =
                    [self.at(cx, cy - 1), self.at(cx, cy + 1), self.at(cx - 1, cy), self.at(cx + 1, cy)];
                for dy in 0..times {
                    for dx in 0..times {
                        let beside = (dx == 0).then_some((left, right)).or((dx == last).then_some((right, left)));
                        let above = (dy == 0).then_some((up, down)).or((dy == last).then_some((down, up)));
                        let mut dot = self.at(cx, cy);
                        if let (Some((near, far)), Some((next, opposite))) = (beside, above)
                            && near == next
                            && near != opposite
                            && next != far
                        {
                            dot = near;
                        }
                        if dot {
                            grown.set(x * times + dx, y * times + dy);
                        }
                    }
                }
            }
        }
        grown
    }

    /// The outline of the picture, one dot wide. The result is one dot larger on every side.
    pub(crate) fn outlined(&self) -> DotPicture {
        let mut outline = DotPicture::new(self.width + 2, self.height + 2);
        for y in 0..self.height as isize + 2 {
            for x in 0..self.width as isize + 2 {
                let near = (-1..=1).any(|dy| (-1..=1).any(|dx| self.at(x - 1 + dx, y - 1 + dy)));
                if near && !self.at(x - 1, y - 1) {
                    outline.set(x as usize, y as usize);
                }
            }
        }
        outline
    }

    /// Keeps every other row of dots.
    pub(crate) fn hatched(mut self) -> DotPicture {
        for y in (1..self.height).step_by(2) {
            self.dots[y * self.width..(y + 1) * self.width].fill(false);
        }
        self
    }

    /// Draws the picture with its top left corner in cell (`x`, `y`); what is outside the area is left out.
    pub(crate) fn draw(&self, buffer: &mut Buffer, area: Rect, x: u16, y: u16, style: Style) {
        for (row, top) in (0u16..).zip((0..self.height as isize).step_by(2)) {
            for (column, left) in (0u16..).zip((0..self.width as isize).step_by(2)) {
                let dots = [(0, 0), (1, 0), (0, 1), (1, 1)].map(|(dx, dy)| self.at(left + dx, top + dy));
                let index = dots.iter().rev().fold(0, |index, &dot| index * 2 + usize::from(dot));
                let place = Position { x: x.saturating_add(column), y: y.saturating_add(row) };
                if index == 0 || !area.contains(place) {
                    continue;
                }
                if let Some(cell) = buffer.cell_mut(place) {
                    cell.set_symbol(QUADRANTS[index]).set_style(style);
                }
            }
        }
    }
}
