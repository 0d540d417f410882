//! The file to which the lines of a journal are written.

use std::fs::File;
use std::io::{self, Write};

/// Something to which lines are appended.
pub trait JournalStore: Send {
    /// Appends all of the lines, or none.
    ///
    /// # Errors
    /// When the lines cannot be written. The caller may try again.
    fn append(&mut self, lines: &[u8]) -> io::Result<()>;

    /// Returns when everything written so far would survive a power cut.
    ///
    /// # Errors
    /// When that fails.
    fn sync(&mut self) -> io::Result<()>;

    /// A second handle on the same lines, used only to sync them.
    ///
    /// # Errors
    /// When there can be no second handle.
    fn try_clone(&self) -> io::Result<Box<dyn JournalStore>>;
}

/// Something that can be cut to a length.
pub trait Truncate {
    /// Cuts it to this many bytes.
    ///
    /// # Errors
    /// When it cannot be cut.
    fn truncate(&mut self, length: u64) -> io::Result<()>;
}

impl Truncate for File {
    fn truncate(&mut self, length: u64) -> io::Result<()> {
        self.set_len(length)
    }
}

/// A file to which lines are appended. A line that was only partly written is cut off before anything else is written.
/// Until that succeeds nothing is written, so that no line is in the file twice.
#[derive(Debug)]
pub struct LineFile<F> {
    file: F,
    /// The number of bytes in whole lines.
    whole: u64,
    /// Whether the file may contain more bytes than that.
    torn: bool,
}

impl<F: Write + Truncate> LineFile<F> {
    /// Appends to a file that has `whole` bytes.
    pub fn after_bytes(file: F, whole: u64) -> LineFile<F> {
        LineFile { file, whole, torn: false }
    }

    fn add(&mut self, lines: &[u8]) -> io::Result<()> {
        if self.torn {
            self.file.truncate(self.whole)?;
            self.torn = false;
        }
        match self.file.write_all(lines) {
            Ok(()) => {
                self.whole += lines.len() as u64;
                Ok(())
            }
            Err(error) => {
                self.torn = self.file.truncate(self.whole).is_err();
                Err(error)
            }
        }
    }
}

impl LineFile<File> {
    /// Appends to a file that is open for appending.
    ///
    /// # Errors
    /// When the length of the file cannot be read.
    pub fn of(file: File) -> io::Result<LineFile<File>> {
        let whole = file.metadata()?.len();
        Ok(LineFile::after_bytes(file, whole))
    }
}

impl JournalStore for LineFile<File> {
    fn append(&mut self, lines: &[u8]) -> io::Result<()> {
        self.add(lines)
    }

    fn sync(&mut self) -> io::Result<()> {
        self.file.sync_data()
    }

    fn try_clone(&self) -> io::Result<Box<dyn JournalStore>> {
        Ok(Box::new(LineFile { file: self.file.try_clone()?, whole: self.whole, torn: self.torn }))
    }
}

#[cfg(test)]
mod tests {
    use proptest::prelude::*;

    use super::*;

    /// A disk with room for `room` more bytes. `cuts`: whether each cut succeeds, the last value first.
    #[derive(Default)]
    struct FullStore {
        bytes: Vec<u8>,
        room: usize,
        cuts: Vec<bool>,
    }

    impl Write for FullStore {
        fn write(&mut self, bytes: &[u8]) -> io::Result<usize> {
            let taken = bytes.len().min(self.room);
            self.room -= taken;
            self.bytes.extend(&bytes[..taken]);
            if taken == 0 { Err(io::ErrorKind::StorageFull.into()) } else { Ok(taken) }
        }

        fn flush(&mut self) -> io::Result<()> {
            Ok(())
        }
    }

    impl Truncate for FullStore {
        fn truncate(&mut self, length: u64) -> io::Result<()> {
            if !self.cuts.pop().unwrap_or(true) {
                return Err(io::ErrorKind::StorageFull.into());
            }
            self.bytes.truncate(usize::try_from(length).unwrap());
            Ok(())
        }
    }

    proptest! {
        #[test]
        fn no_line_is_written_twice_however_the_disk_fails(
            rooms in prop::collection::vec(0usize..60, 1..30),
            cuts in prop::collection::vec(any::<bool>(), 0..30),
        ) {
            let mut lines = LineFile::after_bytes(FullStore { cuts, ..FullStore::default() }, 0);
            let mut unwritten = Vec::new();
            let mut sent = Vec::new();
            // As in a class: lines that were refused are tried again together with the next line.
            for (number, room) in rooms.into_iter().enumerate() {
                lines.file.room = room;
                let line = format!("line {number}\n");
                sent.extend(line.bytes());
                unwritten.extend(line.bytes());
                if lines.add(&unwritten).is_ok() {
                    unwritten.clear();
                    prop_assert_eq!(&lines.file.bytes, &sent);
                }
                // A class that is cut off here leaves whole lines in order, and at most one partial line.
                prop_assert!(sent.starts_with(&lines.file.bytes));
            }
            lines.file.room = 10_000;
            lines.file.cuts.clear();
            lines.add(&unwritten).unwrap();
            prop_assert_eq!(&lines.file.bytes, &sent);
        }
    }
}
