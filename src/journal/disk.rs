//! Where the lines of a journal go.

use std::fs::File;
use std::io::{self, Write};

/// Where lines go.
pub trait Disk: Send {
    /// Adds whole lines at the end, or nothing of them.
    ///
    /// # Errors
    /// When they cannot be written; they may be tried again.
    fn append(&mut self, lines: &[u8]) -> io::Result<()>;

    /// Comes back when what was written outlives the machine.
    ///
    /// # Errors
    /// When that cannot be had.
    fn sync(&mut self) -> io::Result<()>;

    /// Another hold of the same lines, to sync them by.
    ///
    /// # Errors
    /// When that cannot be had.
    fn twin(&self) -> io::Result<Box<dyn Disk>>;
}

/// What can be cut to a length.
pub trait Cut {
    /// Cuts it.
    ///
    /// # Errors
    /// When it cannot be.
    fn cut(&mut self, length: u64) -> io::Result<()>;
}

impl Cut for File {
    fn cut(&mut self, length: u64) -> io::Result<()> {
        self.set_len(length)
    }
}

/// A file that lines are added to. Half a line that was written is cut off before anything else is; until that can be
/// done nothing is, so that no line can stand in it twice.
#[derive(Debug)]
pub struct Lines<F> {
    file: F,
    /// Bytes of whole lines.
    whole: u64,
    /// There may be more in the file than that.
    torn: bool,
}

impl<F: Write + Cut> Lines<F> {
    /// Adds to a file that ends after so many bytes.
    pub fn after(file: F, whole: u64) -> Lines<F> {
        Lines { file, whole, torn: false }
    }

    fn add(&mut self, lines: &[u8]) -> io::Result<()> {
        if self.torn {
            self.file.cut(self.whole)?;
            self.torn = false;
        }
        match self.file.write_all(lines) {
            Ok(()) => {
                self.whole += lines.len() as u64;
                Ok(())
            }
            Err(error) => {
                self.torn = self.file.cut(self.whole).is_err();
                Err(error)
            }
        }
    }
}

impl Lines<File> {
    /// Adds to the end of a file that is open to be added to.
    ///
    /// # Errors
    /// When its length cannot be had.
    pub fn of(file: File) -> io::Result<Lines<File>> {
        let whole = file.metadata()?.len();
        Ok(Lines::after(file, whole))
    }
}

impl Disk for Lines<File> {
    fn append(&mut self, lines: &[u8]) -> io::Result<()> {
        self.add(lines)
    }

    fn sync(&mut self) -> io::Result<()> {
        self.file.sync_data()
    }

    fn twin(&self) -> io::Result<Box<dyn Disk>> {
        Ok(Box::new(Lines { file: self.file.try_clone()?, whole: self.whole, torn: self.torn }))
    }
}

#[cfg(test)]
mod tests {
    use proptest::prelude::*;

    use super::*;

    /// A disk that takes so many more bytes, and lets itself be cut or not, one answer a time.
    #[derive(Default)]
    struct Full {
        bytes: Vec<u8>,
        room: usize,
        cuts: Vec<bool>,
    }

    impl Write for Full {
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

    impl Cut for Full {
        fn cut(&mut self, length: u64) -> io::Result<()> {
            if !self.cuts.pop().unwrap_or(true) {
                return Err(io::ErrorKind::StorageFull.into());
            }
            self.bytes.truncate(usize::try_from(length).unwrap());
            Ok(())
        }
    }

    proptest! {
        #[test]
        fn no_line_stands_twice_however_the_disk_fails(
            rooms in prop::collection::vec(0usize..60, 1..30),
            cuts in prop::collection::vec(any::<bool>(), 0..30),
        ) {
            let mut lines = Lines::after(Full { cuts, ..Full::default() }, 0);
            let mut unwritten = Vec::new();
            let mut sent = Vec::new();
            // As a class goes: what was refused is tried again with what comes next.
            for (number, room) in rooms.into_iter().enumerate() {
                lines.file.room = room;
                let line = format!("line {number}\n");
                sent.extend(line.bytes());
                unwritten.extend(line.bytes());
                if lines.add(&unwritten).is_ok() {
                    unwritten.clear();
                    prop_assert_eq!(&lines.file.bytes, &sent);
                }
                // Whole lines in order, and at most one torn one: what a class that breaks off here leaves.
                prop_assert!(sent.starts_with(&lines.file.bytes));
            }
            lines.file.room = 10_000;
            lines.file.cuts.clear();
            lines.add(&unwritten).unwrap();
            prop_assert_eq!(&lines.file.bytes, &sent);
        }
    }
}
